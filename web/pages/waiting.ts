// Asks how far a plan is, and shows its page once it is there; without this script the page asks anew.

const EACH_MS = 400;

interface Far {
  is_ready: boolean;
  said?: string;
  step?: number;
  steps?: number;
}

function show(place: HTMLElement, far: Far): void {
  const bar = place.querySelector("progress");
  const words = place.querySelector("[role=status]");
  const step = far.step ?? 0;
  if (bar !== null) {
    bar.max = far.steps ?? 1;
    bar.value = Math.max(0, step - 1);
  }
  const said = step > 0 ? `Step ${step} of ${far.steps}: ${far.said}` : (far.said ?? "");
  if (words !== null && words.textContent !== said) words.textContent = said;
}

async function look(place: HTMLElement): Promise<void> {
  try {
    const answer = await fetch(place.dataset["working"] ?? "");
    const far = (await answer.json()) as Far;
    if (far.is_ready) {
      location.reload();
      return;
    }
    show(place, far);
  } catch {
    show(place, { is_ready: false, said: "The workbench does not answer; it is asked again." });
  }
  setTimeout(() => void look(place), EACH_MS);
}

const place = document.querySelector<HTMLElement>("[data-working]");
if (place !== null) setTimeout(() => void look(place), EACH_MS);
