/** Long enough for a browser to begin reading what it was given, milliseconds. */
const KEPT_MILLISECONDS = 60_000;

/** Gives the browser a file to keep, as it keeps downloads. */
export function saveFile(name: string, content: Blob): void {
  const address = URL.createObjectURL(content);
  const link = document.createElement("a");
  link.href = address;
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(address), KEPT_MILLISECONDS);
}
