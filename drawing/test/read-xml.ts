/** A small strict reader of XML 1.0 elements, for tests: it throws at anything that is not well formed. */
export interface XmlNode {
  readonly tag: string;
  readonly attributes: ReadonlyMap<string, string>;
  readonly text: string;
}

const NAME = /[A-Za-z_][\w.:-]*/y;
const ATTRIBUTE = /\s+([A-Za-z_][\w.:-]*)="([^"<]*)"/y;
const NAMED: Readonly<Record<string, string>> = { amp: "&", lt: "<", gt: ">", quot: '"', apos: "'" };

/** All elements in the order in which they open; `text` is an element's own character data. */
export function readXml(source: string): readonly XmlNode[] {
  const nodes: { tag: string; attributes: Map<string, string>; text: string }[] = [];
  const open: { tag: string; attributes: Map<string, string>; text: string }[] = [];
  let at = 0;
  const take = (pattern: RegExp): RegExpExecArray => {
    pattern.lastIndex = at;
    const found = pattern.exec(source);
    if (found === null) throw new Error(`not well formed at ${at}: ${source.slice(at, at + 40)}`);
    at += found[0].length;
    return found;
  };
  const skip = (text: string) => {
    const is = source.startsWith(text, at);
    if (is) at += text.length;
    return is;
  };
  while (at < source.length) {
    if (skip("</")) {
      const [tag] = take(NAME);
      if (open.pop()?.tag !== tag) throw new Error(`</${tag}> closes nothing`);
      take(/>/y);
    } else if (skip("<")) {
      const node = { tag: take(NAME)[0], attributes: new Map<string, string>(), text: "" };
      if (nodes.length > 0 && open.length === 0) throw new Error("a second root");
      while (!/[/>]/.test(source[at] ?? "")) {
        const [, key = "", value = ""] = take(ATTRIBUTE);
        if (node.attributes.has(key)) throw new Error(`${key} twice`);
        node.attributes.set(key, decode(value.replace(/[\t\n\r]/g, " ")));
      }
      nodes.push(node);
      if (!skip("/")) open.push(node);
      take(/>/y);
    } else {
      const [data] = take(/[^<]+/y);
      const inside = open.at(-1);
      if (inside !== undefined) inside.text += decode(data.replace(/\r\n?/g, "\n"));
      else if (data.trim() !== "") throw new Error("text outside the root");
    }
  }
  if (open.length > 0) throw new Error(`<${open.at(-1)?.tag}> is not closed`);
  return nodes;
}

function decode(data: string): string {
  if (data.includes("]]>")) throw new Error("]]> in text");
  for (const char of data)
    if (!/[\t\n\r\u0020-\uD7FF\uE000-\uFFFD\u{10000}-\u{10FFFF}]/u.test(char))
      throw new Error("a character that XML cannot carry");
  return data.replace(/&(?:#(\d+)|(\w+))?;?/g, (whole, code?: string, name?: string) => {
    const value = code !== undefined ? String.fromCodePoint(Number(code)) : NAMED[name ?? ""];
    if (value === undefined || !whole.endsWith(";")) throw new Error(`not an entity: ${whole}`);
    return value;
  });
}
