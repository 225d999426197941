import type { ChassisTool } from "@platewright/design";

export const TOOL_KINDS = [
  { value: "drill", words: "Drill" },
  { value: "punch", words: "Punch" },
  { value: "step-drill", words: "Step drill" },
  { value: "hole-saw", words: "Hole saw" },
  { value: "reamer", words: "Reamer" },
  { value: "file", words: "File" },
  { value: "fabricator", words: "Fabricator" },
] as const;

export const toolName = ({ id, kind, name }: Pick<ChassisTool, "id" | "kind" | "name">): string =>
  name ?? `${TOOL_KINDS.find((one) => one.value === kind)?.words ?? kind} ${id}`;
