/** Scrolls to a block of the sheet and puts the keyboard there; its head must have the id. */
export function toPlace(event: { preventDefault: () => void }, id: string): void {
  event.preventDefault();
  const head = document.getElementById(id);
  if (head === null) return;
  head.scrollIntoView({ block: "start" });
  head.tabIndex = -1;
  head.focus({ preventScroll: true });
}
