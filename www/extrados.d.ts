/**
 * The scripting interface of the page: `window.extrados`, for researchers and tests.
 *
 * Lengths are mm, angles degrees; coordinates are patient axes (DICOM LPS). The shapes are those of
 * the case file and of `extrados report CASE.json --json`, version 1; `extrados schema` prints the
 * case's JSON Schema. What is not known is `null`, with the reason in `why` beside it.
 */

/** One thing wrong with a case. */
export interface Fault {
  /** Stable name of the kind of fault. */
  code: string;
  /** JSON pointer of the place, such as `/anatomy/ostia/0/clock_deg`. */
  where: string;
  /** What is wrong, in one sentence. */
  text: string;
  /** How to mend it, in one sentence. */
  mend: string;
}

/** What is thrown where a case does not read: all its faults at once. */
export interface ExtradosFault extends Error {
  name: "ExtradosFault";
  faults: Fault[];
}

export type VerdictWord = "met" | "borderline" | "unmet" | "unknown";

export interface Possibility {
  lie: "middle" | "relaxed" | "pushed";
  length_kept_by: "axis" | "outer_line";
}

export interface Tunnel extends Possibility {
  id: string;
  component: string;
  serves: string;
  mouth_lps_mm: [number, number, number] | null;
  mouth_station_mm: number | null;
  mouth_clock_deg: number | null;
  /** Mouth to ostium along the wall at the ostium's clock, + = mouth upstream. */
  offset_mm: number | null;
  /** Centre to centre; negative on the wrong side. */
  clearance_mm: number | null;
  /** Edge to edge. */
  edge_clearance_mm: number | null;
  clearance_centreline_mm: number | null;
  /** Mouth less ostium, in (−180, 180]. */
  clock_error_deg: number | null;
  clock_error_wall_mm: number | null;
  straight_mm: number | null;
  state: "ok" | "would_loop" | "wrong_side" | "no_path" | "unknown";
  why?: string;
}

export interface Verdict {
  rule: string;
  measure: string;
  of: string;
  value: number | null;
  margin: number | null;
  /** One standard deviation, from the CT's errors alone. */
  error: number | null;
  unit: string;
  verdict: VerdictWord;
  hangs_on: Possibility | null;
  why: string | null;
  source: string;
  required: boolean;
}

/** The report. Further parts are those of the report's description. */
export interface Report {
  format: "extrados-report";
  version: 1;
  program: string;
  case_sha256: string;
  assumed: string[];
  tunnels: Tunnel[];
  verdicts: Verdict[];
  sheet: { id: string; text: string }[];
  warnings: Fault[];
  [part: string]: unknown;
}

export interface Extrados {
  /**
   * Computes the report of a case, given as an object or as the text of its file; checked as
   * strictly as a file, unknown keys and numbers that are not finite included. Touches nothing
   * that is open on the page.
   *
   * @throws {ExtradosFault} with all faults of the case.
   */
  report(case_: object | string): Report;
}

declare global {
  interface Window {
    extrados: Extrados;
  }
}
