import type { PanelProps } from "./panel.ts";

export function ToolsForm(_props: PanelProps) {
  return null;
}
