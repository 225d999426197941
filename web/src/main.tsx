/** Starts the page: the worker, the shop, the design that was open last, the screen. */
import { createRoot } from "react-dom/client";
import { workshopAt } from "@platewright/workshop/client";
import { openDesk } from "./worker/desk.ts";
import { App } from "./app/app.tsx";
import { Refused } from "./app/refused.tsx";
import { start } from "./app/start.ts";
import { showTheme, themeAtStart } from "./app/theme.ts";
import "./styles/tokens.css";
import "./styles/base.css";
import "./styles/scene.css";
import "./styles/shell.css";

showTheme(themeAtStart(), false);
const page = document.getElementById("page");
if (page !== null) {
  const root = createRoot(page);
  const desk = openDesk(
    new Worker(new URL("./worker/worker.ts", import.meta.url), { type: "module" }),
    (run) => void setTimeout(run),
  );
  const workshop = workshopAt();
  void start(workshop, desk).then((started) =>
    root.render(
      started.ok ? <App around={started.value} desk={desk} /> : <Refused sentence={started.failure.sentence} />,
    ),
  );
}
