import type { PanelProps } from "./panel.ts";

export function AddPart(_props: PanelProps) {
  return null;
}
