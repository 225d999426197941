export * from "./csv.ts";
export * from "./folder.ts";
export * from "./pdf.ts";
export * from "./zip.ts";
