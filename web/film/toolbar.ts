/** The controls above the film. */
import { button, html, say } from "./dom";
import { toneWords } from "./words";

export interface ToolbarHost {
  zoomBy(factor: number): void;
  wholeFilm(): void;
  turn(): void;
  tone(brightness: number, contrast: number, swapped: boolean): void;
}

export const ZOOM_STEP = 1.25;

interface Tone {
  readonly element: HTMLElement;
  readonly input: HTMLInputElement;
  readonly show: () => void;
}

let count = 0;

function tone(title: string, less: string, more: string, changed: () => void): Tone {
  const id = `tf-tone-${(count += 1)}`;
  const input = html("input", { type: "range", id, min: 30, max: 300, step: 5, value: 100 });
  const words = html("output", { for: id });
  const show = (): void => {
    const said = toneWords(input.valueAsNumber, less, more);
    input.setAttribute("aria-valuetext", said);
    say(words, said);
  };
  input.addEventListener("input", () => {
    show();
    changed();
  });
  show();
  const label = html("label", { for: id }, title);
  return { element: html("div", { class: "tf-tone" }, label, input, words), input, show };
}

export class Toolbar {
  readonly element: HTMLElement;
  readonly tones: HTMLElement;
  readonly #host: ToolbarHost;
  readonly #bright = tone("Brightness", "darker", "brighter", () => this.#changed());
  readonly #contrast = tone("Contrast", "flatter", "stronger", () => this.#changed());
  readonly #swap = button("Swap black and white", { "aria-pressed": "false" }, () => {
    this.#setSwap(this.#swap.getAttribute("aria-pressed") !== "true");
    this.#changed();
  });
  readonly #back: HTMLButtonElement;

  constructor(host: ToolbarHost, takeBack: () => void) {
    this.#host = host;
    this.#back = button("Take back", { "aria-disabled": "true" }, takeBack);
    this.element = html(
      "div",
      { class: "tf-tools", role: "group", "aria-label": "Controls of the film" },
      html(
        "div",
        { class: "tf-buttons" },
        button("−", { "aria-label": "− smaller", class: "tf-sign" }, () =>
          host.zoomBy(1 / ZOOM_STEP),
        ),
        button("+", { "aria-label": "+ larger", class: "tf-sign" }, () => host.zoomBy(ZOOM_STEP)),
        button("Whole film", {}, () => host.wholeFilm()),
        button("Turn a quarter", {}, () => host.turn()),
        this.#swap,
        button("Greys as filmed", {}, () => this.#reset()),
        this.#back,
      ),
    );
    this.tones = html("div", { class: "tf-tones", role: "group", "aria-label": "Greys" });
    this.tones.append(this.#bright.element, this.#contrast.element);
  }

  allowTakeBack(allowed: boolean): void {
    // not `disabled`, which would take the focus away
    this.#back.setAttribute("aria-disabled", `${!allowed}`);
  }

  #setSwap(swapped: boolean): void {
    this.#swap.setAttribute("aria-pressed", `${swapped}`);
  }

  #reset(): void {
    for (const { input, show } of [this.#bright, this.#contrast]) {
      input.value = "100";
      show();
    }
    this.#setSwap(false);
    this.#changed();
  }

  #changed(): void {
    const swapped = this.#swap.getAttribute("aria-pressed") === "true";
    this.#host.tone(this.#bright.input.valueAsNumber, this.#contrast.input.valueAsNumber, swapped);
  }
}
