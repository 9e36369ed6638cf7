/** Everything the film page says. */
import { isRuler, type FilmFacts, type FilmPoint } from "./model";
import type { Quarter } from "./view";

const NO_BREAK = "\u00a0";

export const SAYS = {
  noAnswer:
    "No answer from the workbench. The points are kept on this computer; try again in a moment.",
  noLengths: "The lengths could not be worked out. Move a point to try again.",
  noPicture: "The picture of this film could not be loaded. Reload the page to try again.",
  saving: "Saving the round.",
  saved: "The round is saved.",
  refused: "The round was not saved.",
  stale: "These lengths belong to the points before the last move.",
  working: "Working out the lengths.",
  proposing: "Looking for the joint lines.",
  noProposal: "Nothing was proposed.",
  recording: "Recording.",
  recorded: "Recorded.",
  notRecorded: "Not recorded.",
} as const;

export function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

export function whichFilm(facts: FilmFacts): string {
  return capital(`${facts.side || "side not stated,"} ${facts.region || "region not stated"}`);
}

export function whichView(facts: FilmFacts): string {
  return facts.view ? `${facts.view} view` : "view not stated";
}

export function turnWords(quarter: Quarter): string {
  return ["", "turned a quarter to the right", "upside down", "turned a quarter to the left"][
    quarter
  ] as string;
}

export function placeWords(point: FilmPoint): string {
  return point.at === null
    ? ""
    : `column ${point.at[0].toFixed(1)}, row ${point.at[1].toFixed(1)}`;
}

/** The state of a point; a proposal says that it is one, and how far it is trusted. */
export function stateWords({ state, trust, sure }: FilmPoint): string {
  if (state !== "proposed") return state;
  const how = trust === "" ? "" : `, ${sure ? "called sure" : "not sure"} (${trust})`;
  return `proposed, not confirmed${how}`;
}

/** Name, place and state of a point in one sentence. */
export function pointWords(point: FilmPoint): string {
  const parts = [capital(point.label), placeWords(point), stateWords(point)];
  return parts.filter((part) => part !== "").join(", ");
}

export function rowWords(point: FilmPoint): string {
  return point.at === null
    ? "missing: press, then tap the film"
    : `${stateWords(point)}, ${placeWords(point).replace(/(column|row) /g, `$1${NO_BREAK}`)}`;
}

export function countWords(points: readonly FilmPoint[]): string {
  const count = (state: string): number => points.filter((p) => p.state === state && !isRuler(p.name)).length;
  return `${count("placed")} placed, ${count("proposed")} proposed, ${count("missing")} missing`;
}

export function roundWords(rounds: number): string {
  return rounds === 0
    ? "No round is saved yet."
    : `${rounds} ${rounds === 1 ? "round is" : "rounds are"} saved.`;
}

export function toneWords(value: number, less: string, more: string): string {
  if (value === 100) return "as filmed";
  return value < 100 ? `${100 - value} per cent ${less}` : `${value - 100} per cent ${more}`;
}

export function pickWords(label: string): string {
  return `Tap the film at: ${label}. Enter puts it in the middle, Escape stops.`;
}

export function unsavedWords(keeps: boolean, offered: boolean): string {
  if (offered) return "Not saved yet. Not kept either, until you decide about the older points.";
  return keeps
    ? "Not saved yet; kept on this computer."
    : "Not saved yet. This browser keeps nothing: save the round before you leave the page.";
}

export function draftWords(kept: string, older: boolean): string {
  const when = new Date(kept).toLocaleString("en-GB", { dateStyle: "medium", timeStyle: "short" });
  const since = older ? " Another round has been saved since then." : "";
  return `Points that were never saved are kept on this computer, from ${when}.${since}`;
}

export function proposedWords(ray: string, count: number, sure: number): string {
  if (count === 0) return `Every point of the ${ray} is placed already; nothing is proposed.`;
  const points = count === 1 ? "1 point of" : `${count} points of`;
  return (
    `${points} the ${ray} proposed, ${sure} called sure. ` +
    "None counts until you have looked at it and confirmed it."
  );
}

export function endsWords(first: string, last: string, stump: string): string {
  const end = stump === "" ? last : `${last} or the ${stump}`;
  return `Place the ${first} and the ${end} first.`;
}
