import type { PanelProps } from "./panel.ts";

export function OutlineImport(_props: PanelProps) {
  return null;
}
