import type { PanelProps } from "./panel.ts";

export function PlateForm(_props: PanelProps) {
  return null;
}
