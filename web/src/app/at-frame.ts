/** How long a page that draws no frames waits, out of sight behind another. */
const UNSEEN_MILLISECONDS = 50;

/** Runs with the next frame; soon all the same where no frame comes. */
export function atFrame(run: () => void): void {
  let isDone = false;
  const once = () => {
    if (isDone) return;
    isDone = true;
    run();
  };
  requestAnimationFrame(once);
  setTimeout(once, UNSEEN_MILLISECONDS);
}
