import { type PointerEvent, useEffect, useLayoutEffect, useRef, useState } from "react";
import type { Mark } from "./trace.ts";

/** A mark as it is drawn: its name beside a cross. */
export interface ShownMark {
  readonly u: number;
  readonly v: number;
  readonly words: string;
  /** The rim that it stands for. */
  readonly radius?: number;
  /** Not a mark: where something lies that is known already. */
  readonly dashed?: boolean;
}

/** How well a hand sets a mark, in pixels of the screen, and never better than this in pixels of the picture. */
const HAND_PIXELS = 0.7;

/**
 * The photo at a scale, marks over it, and a cross that is moved by pointer or by arrow keys (with Shift by ten). Enter or a
 * press sets a mark, Backspace takes the last one back, plus and minus change the scale about the cross.
 */
export function PhotoStage({
  picture,
  zoom,
  marks,
  next,
  onZoom,
  onMark,
  onUnmark,
}: {
  picture: ImageBitmap;
  zoom: number;
  marks: readonly ShownMark[];
  /** What the next press sets. */
  next: string;
  onZoom: (by: 1 | -1) => void;
  onMark: (mark: Mark) => void;
  onUnmark: () => void;
}) {
  const canvas = useRef<HTMLCanvasElement>(null);
  const box = useRef<HTMLDivElement>(null);
  const [cross, setCross] = useState({ u: picture.width / 2, v: picture.height / 2 });
  const at = useRef(cross);
  useLayoutEffect(() => {
    at.current = cross;
  }, [cross]);
  useLayoutEffect(() => {
    const pen = canvas.current?.getContext("2d");
    pen?.drawImage(picture, 0, 0);
  }, [picture]);
  // What stood under the cross stays in sight when the scale changes.
  useLayoutEffect(() => {
    const stage = box.current;
    if (stage === null) return;
    stage.scrollLeft = at.current.u * zoom - stage.clientWidth / 2;
    stage.scrollTop = at.current.v * zoom - stage.clientHeight / 2;
  }, [zoom]);
  useEffect(() => {
    const stage = box.current;
    if (stage === null) return;
    const [x, y] = [cross.u * zoom, cross.v * zoom];
    const room = 24;
    if (x < stage.scrollLeft + room) stage.scrollLeft = x - room;
    else if (x > stage.scrollLeft + stage.clientWidth - room) stage.scrollLeft = x - stage.clientWidth + room;
    if (y < stage.scrollTop + room) stage.scrollTop = y - room;
    else if (y > stage.scrollTop + stage.clientHeight - room) stage.scrollTop = y - stage.clientHeight + room;
  }, [cross, zoom]);
  const mark = ({ u, v }: { u: number; v: number }) =>
    onMark({ u, v, pixels: Math.max(HAND_PIXELS, HAND_PIXELS / zoom) });
  const placeOf = (event: PointerEvent<HTMLElement>) => {
    const frame = canvas.current?.getBoundingClientRect();
    if (frame === undefined) return undefined;
    return { u: (event.clientX - frame.left) / zoom, v: (event.clientY - frame.top) / zoom };
  };
  const move = (du: number, dv: number) =>
    setCross(({ u, v }) => ({
      u: Math.max(0, Math.min(picture.width, Math.round(u) + du)),
      v: Math.max(0, Math.min(picture.height, Math.round(v) + dv)),
    }));
  const [w, h] = [picture.width * zoom, picture.height * zoom];
  return (
    // An application is worked: it takes pointer and keys itself.
    // oxlint-disable-next-line jsx-a11y/no-noninteractive-element-interactions
    <div
      ref={box}
      className="metal-stage"
      role="application"
      tabIndex={0}
      aria-label={`Photo. Next: ${next}. The cross is at ${Math.round(cross.u)}, ${Math.round(cross.v)} of ${picture.width} by ${picture.height} pixels.`}
      aria-describedby="metal-photo-keys"
      onPointerDown={(event) => {
        const place = placeOf(event);
        // The bars that scroll it are the box itself.
        if (event.button !== 0 || place === undefined || event.target === event.currentTarget) return;
        setCross(place);
        mark(place);
      }}
      onKeyDown={(event) => {
        const by = event.shiftKey ? 10 : 1;
        const ways: Record<string, () => void> = {
          ArrowLeft: () => move(-by, 0),
          ArrowRight: () => move(by, 0),
          ArrowUp: () => move(0, -by),
          ArrowDown: () => move(0, by),
          Enter: () => mark(cross),
          Backspace: onUnmark,
          "+": () => onZoom(1),
          "=": () => onZoom(1),
          "-": () => onZoom(-1),
        };
        const way = ways[event.key];
        if (way === undefined || event.ctrlKey || event.metaKey || event.altKey) return;
        event.preventDefault();
        event.stopPropagation();
        way();
      }}
    >
      <div className="metal-photo" style={{ width: w, height: h }}>
        <canvas
          ref={canvas}
          width={picture.width}
          height={picture.height}
          className={zoom >= 2 ? "metal-pixels" : undefined}
          style={{ width: w, height: h }}
        />
        <svg width={w} height={h} viewBox={`0 0 ${w} ${h}`} aria-hidden="true">
          {marks.map((one, n) => (
            <g key={n} className={one.dashed === true ? "metal-entered" : "metal-mark"}>
              {["metal-mark-under", "metal-mark-over"].map((look) => (
                <g key={look} className={look}>
                  {one.dashed !== true && (
                    <path d={`M${one.u * zoom - 7} ${one.v * zoom}h14M${one.u * zoom} ${one.v * zoom - 7}v14`} />
                  )}
                  {one.radius !== undefined && <circle cx={one.u * zoom} cy={one.v * zoom} r={one.radius * zoom} />}
                </g>
              ))}
              <text x={one.u * zoom + 8} y={one.v * zoom - 6}>
                {one.words}
              </text>
            </g>
          ))}
          {["metal-mark-under", "metal-cross"].map((look) => (
            <g key={look} className={look}>
              <path
                d={`M${cross.u * zoom - 22} ${cross.v * zoom}h18m8 0h18M${cross.u * zoom} ${cross.v * zoom - 22}v18m0 8v18`}
              />
            </g>
          ))}
        </svg>
      </div>
    </div>
  );
}
