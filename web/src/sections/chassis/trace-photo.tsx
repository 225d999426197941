import type { PanelProps } from "./panel.ts";

export function TracePhoto(_props: PanelProps) {
  return null;
}
