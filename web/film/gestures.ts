/** Mouse, finger and pen on the film. */
import type { Pair } from "./model";

export interface GestureHost {
  /** The name of the point meant by this place on screen. */
  meant(at: Pair): string | null;
  grab(name: string): void;
  /** The whole movement since the grab, and where the finger is now. */
  drag(name: string, moved: Pair, finger: Pair): void;
  drop(name: string, kept: boolean): void;
  pan(moved: Pair): void;
  zoom(about: Pair, factor: number): void;
  tap(at: Pair): void;
}

type Mode =
  | { readonly kind: "idle" }
  | { readonly kind: "pan"; readonly start: Pair; moved: boolean }
  | { readonly kind: "point"; readonly start: Pair; readonly name: string; moved: boolean }
  | { readonly kind: "pinch" };

/** Smaller movements are a tremble, in screen pixels. */
const TREMBLE = { mouse: 2, other: 6 };
const LINE_PX = 16;
const WHEEL = 0.0016;

const middle = ([ax, ay]: Pair, [bx, by]: Pair): Pair => [(ax + bx) / 2, (ay + by) / 2];
const apart = ([ax, ay]: Pair, [bx, by]: Pair): number => Math.hypot(ax - bx, ay - by);

export class Gestures {
  readonly #stage: HTMLElement;
  readonly #host: GestureHost;
  readonly #down = new Map<number, Pair>();
  #mode: Mode = { kind: "idle" };

  constructor(stage: HTMLElement, host: GestureHost) {
    this.#stage = stage;
    this.#host = host;
    stage.addEventListener("pointerdown", (event) => this.#press(event));
    stage.addEventListener("pointermove", (event) => this.#move(event));
    stage.addEventListener("pointerup", (event) => this.#lift(event, true));
    stage.addEventListener("pointercancel", (event) => this.#lift(event, false));
    stage.addEventListener("wheel", (event) => this.#wheel(event), { passive: false });
  }

  /** Put a dragged point back to where it was; true if one was dragged. */
  giveUp(): boolean {
    if (this.#mode.kind !== "point") return false;
    const { name } = this.#mode;
    this.#mode = { kind: "idle" };
    this.#host.drop(name, false);
    return true;
  }

  #place(event: MouseEvent): Pair {
    const box = this.#stage.getBoundingClientRect();
    return [
      event.clientX - box.left - this.#stage.clientLeft,
      event.clientY - box.top - this.#stage.clientTop,
    ];
  }

  #press(event: PointerEvent): void {
    if (event.button !== 0 || this.#down.size >= 2) return;
    this.#stage.setPointerCapture(event.pointerId);
    const at = this.#place(event);
    this.#down.set(event.pointerId, at);
    if (this.#down.size === 2) {
      // a finger of a pinch may have landed on a point: it must not shift it
      this.giveUp();
      this.#mode = { kind: "pinch" };
      return;
    }
    const name = this.#host.meant(at);
    if (name === null) {
      this.#mode = { kind: "pan", start: at, moved: false };
      return;
    }
    event.preventDefault();
    this.#mode = { kind: "point", start: at, name, moved: false };
    this.#host.grab(name);
  }

  #move(event: PointerEvent): void {
    const before = this.#down.get(event.pointerId);
    if (before === undefined) return;
    const at = this.#place(event);
    if (this.#mode.kind === "pinch") this.#pinch(event.pointerId, before, at);
    this.#down.set(event.pointerId, at);
    const mode = this.#mode;
    if (mode.kind !== "pan" && mode.kind !== "point") return;
    const tremble = event.pointerType === "mouse" ? TREMBLE.mouse : TREMBLE.other;
    const first = !mode.moved;
    if (first && apart(mode.start, at) <= tremble) return;
    mode.moved = true;
    if (mode.kind === "point") {
      this.#host.drag(mode.name, [at[0] - mode.start[0], at[1] - mode.start[1]], at);
    } else {
      const from = first ? mode.start : before;
      this.#host.pan([at[0] - from[0], at[1] - from[1]]);
    }
  }

  #pinch(id: number, before: Pair, at: Pair): void {
    const other = [...this.#down].find(([key]) => key !== id)?.[1];
    if (other === undefined) return;
    const from = middle(before, other);
    const to = middle(at, other);
    this.#host.pan([to[0] - from[0], to[1] - from[1]]);
    const gap = apart(before, other);
    if (gap > 1) this.#host.zoom(to, apart(at, other) / gap);
  }

  #lift(event: PointerEvent, kept: boolean): void {
    if (!this.#down.delete(event.pointerId)) return;
    const mode = this.#mode;
    this.#mode = { kind: "idle" };
    if (mode.kind === "point") this.#host.drop(mode.name, kept && mode.moved);
    if (mode.kind === "pan" && kept && !mode.moved) this.#host.tap(mode.start);
    const left = [...this.#down.values()][0];
    if (left !== undefined) this.#mode = { kind: "pan", start: left, moved: true };
  }

  #wheel(event: WheelEvent): void {
    event.preventDefault();
    const unit = event.deltaMode === WheelEvent.DOM_DELTA_PIXEL ? 1 : LINE_PX;
    // two fingers on a touch pad arrive as a wheel with Control and small steps
    const speed = event.ctrlKey ? 6 * WHEEL : WHEEL;
    this.#host.zoom(this.#place(event), Math.exp(-event.deltaY * unit * speed));
  }
}
