// @ts-check
// What the server sends, for the type checker; there is no code here.

/**
 * One thing in a glass: name, kind, magnitude, arcminutes to the right and up, diameter in arcminutes.
 * @typedef {[string, "star" | "deep-sky" | "body", number | null, number, number, number]} Seen
 */
/** @typedef {{ contact: "driving" | "leading" | "none", share: number, gap: string | null, loaded: boolean }} Play */
/**
 * @typedef {object} Frame
 * @property {number} night
 * @property {number} at seconds
 * @property {number} speed
 * @property {[string, string]} axes
 * @property {[string, string]} dial degrees
 * @property {[string | null, string | null]} axis degrees
 * @property {[string | null, string | null]} lag arcseconds
 * @property {[number, number]} worm turns
 * @property {[Play, Play]} play
 * @property {[string, string]} belief degrees
 * @property {[string, string]} truth degrees
 * @property {[string, string]} gap arcseconds
 * @property {number} field_angle degrees
 * @property {string} side
 * @property {[number, number]} sun degrees
 * @property {{ name: string, at: [string, string], error: [string, string] } | null} target
 * @property {string | null} state
 * @property {string | null} rate
 * @property {string | null} clock
 * @property {string | null} method
 * @property {string | null} taken
 * @property {string | null} needed
 * @property {Seen[]} eyepiece
 * @property {Seen[]} finder
 */
/** @typedef {{ name: string, unit: string, least: number, most: number, step: number, usual: [number, number], told: boolean, value: number | null, off: number | null }} Trim */
/** @typedef {{ name: string, steps: number, done: number, tries: number, answer: { given: string, right: boolean, measured: number | null } | null }} LessonState */
/** @typedef {{ marks: [string, number | null, number, number][], skyline: [number, number][], latitude: number, bounds: [number, number, number], eyepieces: { name: string, field: number, times: number }[], finder: number, view: string, teeth: [number, number], worm_period: number }} Sky */
/** @typedef {{ night: number, title: string, trims: Trim[], hidden: boolean, surprises: number, showing: boolean, lesson: LessonState | null, holder: number | null, here: number, sky: Sky }} Room */
/** @typedef {{ number: number, way: ">" | "<", text: string }} Spoken */
/** @typedef {{ pass: string, number: number, teacher: boolean, version: string }} Hello */
export {};
