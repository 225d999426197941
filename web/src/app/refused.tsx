/** The page could not start: one sentence, and what to do. */
export function Refused({ sentence }: { sentence: string }) {
  return (
    <main className="waiting" role="alert">
      <p>{sentence}</p>
      <p>
        <button type="button" className="button" onClick={() => location.reload()}>
          Try again
        </button>
      </p>
    </main>
  );
}
