import react from "@vitejs/plugin-react";
import { defineConfig } from "vite";

export default defineConfig({
  root: import.meta.dirname,
  plugins: [react()],
  worker: { format: "es" },
  build: {
    outDir: "../dist/web",
    emptyOutDir: true,
    target: "es2022",
    // No inline script, style or font: the page's content policy allows none.
    assetsInlineLimit: 0,
    modulePreload: { polyfill: false },
    reportCompressedSize: false,
  },
  server: {
    port: 4781,
    proxy: {
      "/api": { target: "http://127.0.0.1:4780", changeOrigin: true, headers: { origin: "http://127.0.0.1:4780" } },
    },
  },
});
