/** What a group of the delivery day is called in the chart, where the chart says it. */
export interface ExposureEntry {
  /** `tightening_group` that stands for it; absent: the chart has no word for it. */
  readonly charted?: 'single' | 'repeated' | 'other'
}

/** Exposure groups of the delivery day, in the order of every table. */
export const exposures = {
  single: {},
  'repeated in the window': {},
  'repeated outside the window': {},
  'repeated, wait not recorded': { charted: 'repeated' },
  'single, by the chart': { charted: 'single' },
  'undone and tightened again': {},
  other: { charted: 'other' },
  unknown: {},
} as const satisfies Readonly<Record<string, ExposureEntry>>

/** One exposure group of the delivery day. */
export type ExposureGroup = keyof typeof exposures

/** The exposure groups by name. */
export const exposureGroups = Object.freeze(Object.keys(exposures)) as readonly ExposureGroup[]
