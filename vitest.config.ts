import { defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    include: ["{engine,library,design,drawing,workshop,web,checks,scripts}/**/*.test.{ts,tsx}"],
    testTimeout: 60_000,
    // A page on a busy machine answers late; what is awaited comes or does not.
    expect: { poll: { timeout: 15_000 } },
    pool: "forks",
    maxWorkers: 2,
    // Modules hold no state, so that files may share them: the whole run takes a third of the time.
    isolate: false,
  },
});
