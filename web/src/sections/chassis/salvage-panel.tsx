import type { PanelProps } from "./panel.ts";

export function SalvagePanel(_props: PanelProps) {
  return null;
}
