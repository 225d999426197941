import type { PanelProps } from "./panel.ts";

export function HoleForm(_props: PanelProps) {
  return null;
}
