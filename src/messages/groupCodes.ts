import type { ExposureGroup } from '../vocabulary/exposure.js'

/** Codes of the groups in the messages: `group.<code>`, `group.short.<code>`, `group.in-sentence.<code>`. */
export const groupCodes = {
  all: 'all',
  single: 'single',
  'repeated in the window': 'repeated-in-window',
  'repeated outside the window': 'repeated-outside-window',
  'repeated, wait not recorded': 'wait-not-recorded',
  'single, by the chart': 'single-by-chart',
  'undone and tightened again': 'undone',
  other: 'other',
  unknown: 'unknown',
} as const satisfies Readonly<Record<ExposureGroup | 'all', string>>
