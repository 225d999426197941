/**
 * The write-ahead log beside the file, read from bytes without SQLite.
 *
 * SQLite stops at the first frame whose checksum is wrong and forgets what follows. That is right for a commit that was
 * cut off, and silent when a flipped bit hides commits that were kept; so we look first.
 * Sources SQLite WAL file format, section 4 of the database file format (a public document of the SQLite project).
 */
import { fourBytes, PAGE_BYTES } from "./records.ts";

const HEADER_BYTES = 32;
const FRAME_HEADER_BYTES = 24;
const FRAME_BYTES = FRAME_HEADER_BYTES + PAGE_BYTES;

export interface Frame {
  readonly page: number;
  readonly data: Uint8Array;
}

/** Every frame that is in the log, right or wrong, old or new. */
export function framesOf(log: Uint8Array): readonly Frame[] {
  const frames: Frame[] = [];
  for (let at = HEADER_BYTES; at + FRAME_BYTES <= log.length; at += FRAME_BYTES)
    frames.push({ page: fourBytes(log, at), data: log.subarray(at + FRAME_HEADER_BYTES, at + FRAME_BYTES) });
  return frames;
}

/**
 * What is wrong with a log, in a few words; undefined when SQLite will read from it all that was committed. A last frame
 * without a commit in it that is wrong was cut off when a process was stopped: nothing that was kept is in it.
 */
export function wrongLog(log: Uint8Array): string | undefined {
  if (log.length <= HEADER_BYTES || log.subarray(0, HEADER_BYTES).every((byte) => byte === 0)) return undefined;
  const big = fourBytes(log, 0) === 0x377f0683;
  let sum = checksum(log, 0, 24, big, [0, 0]);
  const known = big || fourBytes(log, 0) === 0x377f0682;
  if (!known || fourBytes(log, 8) !== PAGE_BYTES || sum[0] !== fourBytes(log, 24) || sum[1] !== fourBytes(log, 28))
    return "the head of the log beside it was altered";
  let wrong = false;
  for (let at = HEADER_BYTES; at + FRAME_BYTES <= log.length; at += FRAME_BYTES) {
    const commit = fourBytes(log, at + 4) !== 0;
    // Frames with the salts of another log are leftovers.
    const current = sameBytes(log, at + 8, 16, 8);
    if (!wrong) {
      sum = checksum(log, at, at + 8, big, sum);
      sum = checksum(log, at + FRAME_HEADER_BYTES, at + FRAME_BYTES, big, sum);
      const right = sum[0] === fourBytes(log, at + 16) && sum[1] === fourBytes(log, at + 20);
      if (right && current) continue;
      // The checksum does not cover the salts: a frame of this log whose salts were hit.
      if (right) return "a part of the log beside it was altered";
      wrong = true;
    }
    if (current && commit) return "a part of the log beside it was altered";
  }
  return undefined;
}

const sameBytes = (bytes: Uint8Array, a: number, b: number, count: number): boolean =>
  bytes.subarray(a, a + count).every((byte, i) => byte === bytes[b + i]);

type Sum = readonly [number, number];

/** The log's own running checksum, over words of four bytes. */
function checksum(bytes: Uint8Array, from: number, to: number, big: boolean, [a, b]: Sum): Sum {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  let [x, y] = [a, b];
  for (let at = from; at < to; at += 8) {
    x = (x + view.getUint32(at, !big) + y) >>> 0;
    y = (y + view.getUint32(at + 4, !big) + x) >>> 0;
  }
  return [x, y];
}
