/** Words on the film, put where they cover neither points nor other words. */
import { say } from "./dom";
import type { Pair } from "./model";

export interface Label {
  /** The place on the film to which the words belong. */
  readonly at: Pair;
  readonly said: string;
  /** False if the words may be left out where there is no room; they stand in the list, too. */
  readonly must: boolean;
  /** On which side they stand if there is room, as seen on screen. */
  readonly prefer: Pair;
  /** How near they may come to their place, in screen pixels. */
  readonly gap: number;
  readonly label: SVGTextElement;
  readonly leader: SVGPathElement;
}

export interface Surroundings {
  readonly where: (at: Pair) => Pair;
  readonly width: number;
  readonly height: number;
  /** Middles of the marks, on screen. */
  readonly marks: readonly Pair[];
  /** Ends of the lines, on screen. */
  readonly lines: readonly (readonly [Pair, Pair])[];
  /** Where other things lie, on screen. */
  readonly taken: readonly Box[];
}

export interface Box {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

const LETTER = 8.6;
const widths = new Map<string, number>();
const HEIGHT = 23;
const MARK = 9;
const FARTHER = [0, 12, 26, 44, 66, 92, 122];
const WAYS = 16;
/** From this distance on a thin line leads from the words to their place. */
const LED = 10;
const EDGE = 4;

const overlap = (a: Box, b: Box): boolean =>
  a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;

function around([x, y]: Pair, half: number): Box {
  return { left: x - half, top: y - half, right: x + half, bottom: y + half };
}

/** Whether a line passes through a box, by the usual clipping of its two parameters. */
function crosses([[ax, ay], [bx, by]]: readonly [Pair, Pair], box: Box): boolean {
  let [from, to] = [0, 1];
  const sides: Pair[] = [
    [ax - bx, ax - box.left],
    [bx - ax, box.right - ax],
    [ay - by, ay - box.top],
    [by - ay, box.bottom - ay],
  ];
  for (const [step, room] of sides) {
    if (step === 0 && room < 0) return false;
    if (step < 0) from = Math.max(from, room / step);
    if (step > 0) to = Math.min(to, room / step);
  }
  return from <= to;
}

interface Try {
  readonly box: Box;
  readonly far: number;
}

/** Places for words of a size around a point, the nearest and most wanted first. */
function tries([x, y]: Pair, wide: number, { gap, prefer }: Label): Try[] {
  const start = Math.atan2(prefer[1], prefer[0]);
  const found: Try[] = [];
  for (const far of FARTHER) {
    for (let turn = 0; turn < WAYS; turn += 1) {
      const step = (turn % 2 === 0 ? 1 : -1) * Math.ceil(turn / 2);
      const angle = start + (step * 2 * Math.PI) / WAYS;
      const [cos, sin] = [Math.cos(angle), Math.sin(angle)];
      const middle = [
        x + cos * (gap + far + wide / 2),
        y + sin * (gap + far + HEIGHT / 2),
      ] as const;
      found.push({
        far,
        box: {
          left: middle[0] - wide / 2,
          right: middle[0] + wide / 2,
          top: middle[1] - HEIGHT / 2,
          bottom: middle[1] + HEIGHT / 2,
        },
      });
    }
  }
  return found;
}

function hide({ label, leader }: Label): void {
  label.toggleAttribute("hidden", true);
  leader.toggleAttribute("hidden", true);
}

function put(one: Label, [x, y]: Pair, { box, far }: Try): void {
  const { label, leader } = one;
  label.toggleAttribute("hidden", false);
  label.setAttribute("x", `${box.left + 4 - x}`);
  label.setAttribute("y", `${box.bottom - 7 - y}`);
  leader.toggleAttribute("hidden", far < LED);
  const end: Pair = [
    Math.min(Math.max(x, box.left), box.right) - x,
    Math.min(Math.max(y, box.top), box.bottom) - y,
  ];
  const length = Math.hypot(...end) || 1;
  const near = Math.min(5, length);
  leader.setAttribute(
    "d",
    `M${(end[0] / length) * near} ${(end[1] / length) * near}L${end[0]} ${end[1]}`,
  );
}

/** How wide the words are in their own letters; guessed while they cannot be measured. */
function width({ label, said }: Label): number {
  const known = widths.get(said);
  if (known !== undefined) return known;
  label.toggleAttribute("hidden", false);
  const measured = label.isConnected ? label.getComputedTextLength() : 0;
  if (measured === 0) return said.length * LETTER;
  widths.set(said, measured);
  return measured;
}

/** Put words one after the other, each where it covers nothing that stands already. */
export function arrange(labels: readonly Label[], room: Surroundings): void {
  const taken = [...room.taken, ...room.marks.map((at) => around(at, MARK))];
  const inside = (box: Box): boolean =>
    box.left >= EDGE &&
    box.top >= EDGE &&
    box.right <= room.width - EDGE &&
    box.bottom <= room.height - EDGE;
  for (const one of labels) {
    say(one.label, one.said);
    const at = room.where(one.at);
    if (!inside(around(at, 0))) {
      hide(one);
      continue;
    }
    const free = tries(at, width(one) + 8, one).filter(
      ({ box }) => inside(box) && !taken.some((other) => overlap(box, other)),
    );
    const best = free.find(({ box }) => !room.lines.some((line) => crosses(line, box)));
    const chosen = best ?? (one.must ? free[0] : undefined);
    if (chosen === undefined) {
      hide(one);
      continue;
    }
    taken.push(chosen.box);
    put(one, at, chosen);
  }
}
