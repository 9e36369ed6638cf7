/** Which part of the film is seen, how large, and which way round. */
import type { FilmFacts, Pair } from "./model";

export type Quarter = 0 | 1 | 2 | 3;

export interface View {
  /** The film pixel in the middle of the window. */
  readonly centre: Pair;
  /** Screen pixels for one film pixel. */
  readonly scale: number;
  /** Quarter turns to the right. */
  readonly quarter: Quarter;
}

export interface Size {
  readonly width: number;
  readonly height: number;
}

const MARGIN = 10;
const LARGEST = 24;
/** So much of the film stays in the window, in screen pixels. */
const HELD = 60;

/** Turn a direction to the right by so many quarters, as seen on screen. */
export function turned([x, y]: Pair, quarter: number): Pair {
  switch (((quarter % 4) + 4) % 4) {
    case 1:
      return [-y, x];
    case 2:
      return [-x, -y];
    case 3:
      return [y, -x];
    default:
      return [x, y];
  }
}

export function toScreen(view: View, size: Size, at: Pair): Pair {
  const [x, y] = turned([at[0] - view.centre[0], at[1] - view.centre[1]], view.quarter);
  return [size.width / 2 + view.scale * x, size.height / 2 + view.scale * y];
}

/** The film's direction and distance that looks like this one on screen. */
export function filmStep(view: View, [x, y]: Pair): Pair {
  return turned([x / view.scale, y / view.scale], -view.quarter);
}

export function toFilm(view: View, size: Size, [x, y]: Pair): Pair {
  const [columns, rows] = filmStep(view, [x - size.width / 2, y - size.height / 2]);
  return [view.centre[0] + columns, view.centre[1] + rows];
}

/** The SVG transform from film pixels to screen pixels. */
export function matrix(view: View, middle: Pair, scale: number): string {
  const [a, b] = turned([scale, 0], view.quarter);
  const [c, d] = turned([0, scale], view.quarter);
  const e = middle[0] - a * view.centre[0] - c * view.centre[1];
  const f = middle[1] - b * view.centre[0] - d * view.centre[1];
  return `matrix(${a} ${b} ${c} ${d} ${e} ${f})`;
}

export function wholeScale(facts: FilmFacts, size: Size, quarter: Quarter): number {
  const lying = quarter % 2 === 1;
  const [across, down] = lying ? [facts.rows, facts.columns] : [facts.columns, facts.rows];
  const width = Math.max(size.width - 2 * MARGIN, 1) / across;
  return Math.min(width, Math.max(size.height - 2 * MARGIN, 1) / down);
}

export function wholeFilm(facts: FilmFacts, size: Size, quarter: Quarter): View {
  return {
    centre: [(facts.columns - 1) / 2, (facts.rows - 1) / 2],
    scale: wholeScale(facts, size, quarter),
    quarter,
  };
}

/** Keep part of the film in the window. */
export function held(view: View, facts: FilmFacts, size: Size): View {
  const [across, down] = filmStep(view, [size.width / 2 - HELD, size.height / 2 - HELD]);
  const within = (value: number, count: number, spare: number): number =>
    Math.min(Math.max(value, -Math.max(spare, 0)), count - 1 + Math.max(spare, 0));
  const centre: Pair = [
    within(view.centre[0], facts.columns, Math.abs(across)),
    within(view.centre[1], facts.rows, Math.abs(down)),
  ];
  return { ...view, centre };
}

/** Zoom so that the film's place under one screen point stays under it. */
export function zoomed(
  view: View,
  facts: FilmFacts,
  size: Size,
  about: Pair,
  factor: number,
): View {
  const least = wholeScale(facts, size, view.quarter) / 2;
  const scale = Math.min(Math.max(view.scale * factor, least), LARGEST);
  return broughtUnder({ ...view, scale }, size, toFilm(view, size, about), about);
}

/** Shift the view until one place of the film lies under one screen point. */
export function broughtUnder(view: View, size: Size, place: Pair, about: Pair): View {
  const now = toFilm(view, size, about);
  const centre: Pair = [
    view.centre[0] + place[0] - now[0],
    view.centre[1] + place[1] - now[1],
  ];
  return { ...view, centre };
}
