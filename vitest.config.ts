import { defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    include: ["{engine,library,design,drawing,workshop,checks,scripts}/**/*.test.ts"],
    testTimeout: 60_000,
    pool: "forks",
    maxWorkers: 2,
  },
});
