import { UsageError } from '../core/errors.js'
import { deepFreeze } from '../core/plain.js'
import { type DemoScenario, demoScenario } from './scenario.js'

/** What makes one study group; the same settings give the same tables, byte for byte. */
export interface DemoSettings {
  /** Seed of every random draw; printed beside the data. */
  readonly seed: number
  /** Patients who are offered a restoration; a few leave before any of theirs enters the records. */
  readonly patients: number
  /** Mistakes of the kind that practices make, per 1,000 patients. */
  readonly mistakesPer1000Patients: number
  readonly scenario: DemoScenario
}

/** Seed of the committed demo data. */
const defaultDemoSeed = 20251231

/** Patients of the committed demo data. */
const defaultDemoPatients = 760

/** Restorations per patient that the scenario gives on average; only used to turn restorations into patients. */
export const restorationsPerPatient = 1.645

/** Choices for a study group; each has a default. */
export interface DemoOptions {
  /** Whole number of up to 32 bits; default `defaultDemoSeed`. */
  readonly seed?: number
  /** Whole number, at least 1; default 760, or as many as give `restorations`. */
  readonly patients?: number
  /** About how many restorations, instead of `patients`. */
  readonly restorations?: number
  /** Default 12, which sets well under 1% of rows aside; 0 for none. */
  readonly mistakesPer1000Patients?: number
  /** Default `demoScenario`. */
  readonly scenario?: DemoScenario
}

/**
 * Completes the choices for a study group; without any they are those of the committed demo data.
 *
 * @throws UsageError `demo-settings` where a number makes no sense
 * @example demoSettings({ restorations: 20000 }).patients // => 12158
 */
export function demoSettings(options: DemoOptions = {}): DemoSettings {
  const { seed = defaultDemoSeed, mistakesPer1000Patients = 12, scenario = demoScenario } = options
  const patients = options.patients ?? patientsFor(options.restorations)
  return checkedSettings(deepFreeze({ seed, patients, mistakesPer1000Patients, scenario }))
}

/**
 * The settings as they are.
 *
 * @throws UsageError `demo-settings` where a number makes no sense
 */
export function checkedSettings(settings: DemoSettings): DemoSettings {
  requireWhole('seed', settings.seed, 0, 4_294_967_295)
  requireWhole('number of patients', settings.patients, 1)
  if (!(settings.mistakesPer1000Patients >= 0 && settings.mistakesPer1000Patients <= 1000)) {
    throw settingsError('number of mistakes per 1,000 patients', 'a number from 0 to 1,000')
  }
  return settings
}

function patientsFor(restorations: number | undefined): number {
  if (restorations === undefined) return defaultDemoPatients
  requireWhole('number of restorations', restorations, 1)
  return Math.max(1, Math.round(restorations / restorationsPerPatient))
}

function requireWhole(name: string, value: number, least: number, most = 100_000_000): void {
  if (!Number.isSafeInteger(value) || value < least || value > most) {
    throw settingsError(name, `a whole number from ${least} to ${most}`)
  }
}

function settingsError(name: string, expected: string): UsageError {
  return new UsageError({
    code: 'demo-settings',
    problem: `the ${name} of the demo data makes no sense.`,
    expected: `${expected}.`,
    mend: `give another ${name}, or leave it out for the default.`,
  })
}
