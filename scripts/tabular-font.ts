/**
 * A TTF whose figures are of one width without being asked: each character is mapped to the glyph that "tnum" would put in its
 * place, and the tables that put glyphs in other glyphs' places, or move them, are left out.
 *
 * Why     Whoever reads the font needs no shaping then: widths are sums, and a paper is written twice as fast.
 * Limits  Characters of the basic plane; a cmap of format 4, one segment to the character.
 */
import * as fontkit from "fontkit";

const DROPPED = new Set(["GSUB", "GPOS", "GDEF", "cmap", "DSIG", "kern"]);

/** A hyphen as wide as a figure would tear words: what is no figure or sign of counting keeps its own glyph. */
const KEPT = new Set(["-"]);

export function withTabularFigures(ttf: Buffer): Buffer {
  const font = fontkit.create(ttf);
  if (!("layout" in font)) throw new Error("a font collection where a font was expected");
  const glyphOf = (code: number): number => {
    const character = String.fromCodePoint(code);
    return font.layout(character, KEPT.has(character) ? [] : ["tnum", "lnum"]).glyphs[0]?.id ?? 0;
  };
  const codes = font.characterSet.filter((code) => code > 0 && code < 0xffff).sort((a, b) => a - b);
  const tables = tablesOf(ttf).filter(({ tag }) => !DROPPED.has(tag));
  return joined([...tables, { tag: "cmap", bytes: characterMap(codes.map((code) => [code, glyphOf(code)] as const)) }]);
}

interface Table {
  readonly tag: string;
  readonly bytes: Buffer;
}

function tablesOf(ttf: Buffer): readonly Table[] {
  return Array.from({ length: ttf.readUInt16BE(4) }, (_, n): Table => {
    const at = 12 + 16 * n;
    const offset = ttf.readUInt32BE(at + 8);
    return { tag: ttf.toString("latin1", at, at + 4), bytes: ttf.subarray(offset, offset + ttf.readUInt32BE(at + 12)) };
  });
}

function characterMap(pairs: readonly (readonly [number, number])[]): Buffer {
  const segments = pairs.length + 1;
  const length = 16 + 8 * segments;
  const out = Buffer.alloc(12 + length);
  // One encoding: Windows, Unicode.
  out.writeUInt16BE(1, 2);
  out.writeUInt16BE(3, 4);
  out.writeUInt16BE(1, 6);
  out.writeUInt32BE(12, 8);
  const log = Math.floor(Math.log2(segments));
  const head = [4, length, 0, 2 * segments, 2 ** (log + 1), log, 2 * segments - 2 ** (log + 1)];
  for (const [n, value] of head.entries()) out.writeUInt16BE(value, 12 + 2 * n);
  const all = [...pairs, [0xffff, 0] as const];
  const ends = 26;
  const starts = ends + 2 * segments + 2;
  for (const [n, [code, glyph]] of all.entries()) {
    out.writeUInt16BE(code, ends + 2 * n);
    out.writeUInt16BE(code, starts + 2 * n);
    out.writeUInt16BE((glyph - code) & 0xffff, starts + 2 * segments + 2 * n);
  }
  return out;
}

function joined(tables: readonly Table[]): Buffer {
  const sorted = tables.toSorted((a, b) => (a.tag < b.tag ? -1 : 1));
  const log = Math.floor(Math.log2(sorted.length));
  const directory = Buffer.alloc(12 + 16 * sorted.length);
  directory.writeUInt32BE(0x00010000, 0);
  directory.writeUInt16BE(sorted.length, 4);
  directory.writeUInt16BE(16 * 2 ** log, 6);
  directory.writeUInt16BE(log, 8);
  directory.writeUInt16BE(16 * sorted.length - 16 * 2 ** log, 10);
  let offset = directory.length;
  const bodies = sorted.map(({ tag, bytes }, n) => {
    const padded = Buffer.concat([bytes, Buffer.alloc((4 - (bytes.length % 4)) % 4)]);
    // The whole file's sum is not kept: nothing that embeds a font reads it.
    if (tag === "head") padded.writeUInt32BE(0, 8);
    const at = 12 + 16 * n;
    directory.write(tag, at, "latin1");
    directory.writeUInt32BE(checksum(padded), at + 4);
    directory.writeUInt32BE(offset, at + 8);
    directory.writeUInt32BE(bytes.length, at + 12);
    offset += padded.length;
    return padded;
  });
  return Buffer.concat([directory, ...bodies]);
}

function checksum(padded: Buffer): number {
  let sum = 0;
  for (let n = 0; n < padded.length; n += 4) sum = (sum + padded.readUInt32BE(n)) >>> 0;
  return sum;
}
