/** What the keys mean while the film or a point has the focus. */
import type { Pair } from "./model";

export interface Arrow {
  readonly kind: "arrow";
  readonly way: Pair;
  readonly pixels: number;
}

export type Command =
  | { readonly kind: "escape" | "back" | "larger" | "smaller" | "whole" | "enter" }
  | Arrow;

const ARROWS: Readonly<Record<string, Pair>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};

const PLAIN: Readonly<Record<string, Exclude<Command["kind"], "arrow">>> = {
  "+": "larger",
  "=": "larger",
  "-": "smaller",
  "0": "whole",
  Enter: "enter",
};

export function readKey(event: KeyboardEvent): Command | null {
  if (event.key === "Escape") return { kind: "escape" };
  const held = event.ctrlKey || event.metaKey;
  if (held) return event.key.toLowerCase() === "z" ? { kind: "back" } : null;
  const way = ARROWS[event.key];
  if (way !== undefined) {
    return { kind: "arrow", way, pixels: event.shiftKey ? 10 : event.altKey ? 0.1 : 1 };
  }
  const kind = PLAIN[event.key];
  return kind === undefined ? null : { kind };
}
