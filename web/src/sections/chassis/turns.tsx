import type { PanelProps } from "./panel.ts";

export function Turns(_props: PanelProps) {
  return null;
}
