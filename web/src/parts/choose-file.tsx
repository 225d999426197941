/** A button that asks for a file of the builder's; the same one may be chosen again. */
export function ChooseFile({
  words,
  accept,
  onChoose,
}: {
  words: string;
  accept: string;
  onChoose: (file: File) => void;
}) {
  return (
    <label className="button choose-file no-print">
      {words}
      <input
        type="file"
        className="unseen"
        accept={accept}
        onChange={({ currentTarget }) => {
          const [file] = currentTarget.files ?? [];
          if (file !== undefined) onChoose(file);
          currentTarget.value = "";
        }}
      />
    </label>
  );
}
