import type { QualityReport, RecordProblem, Severity } from '../../src/records/dataset.js'

/** Problems and completeness of a fixture. */
export function problems(restorations: number, hostile: string | undefined): QualityReport {
  const text = hostile ?? ''
  return {
    problems: [
      problem(
        'set-aside',
        'visit-before-delivery',
        'visits.csv',
        `a visit lies before the delivery of its restoration. ${text}`,
        'visits on or after delivery.',
        'correct the date in the source, or leave it: the row is set aside and counted.',
        [212, 988, 1901],
      ),
      problem(
        'set-aside',
        'duplicate-restoration',
        'restorations.csv',
        'rows that share a restoration_id differ.',
        'one row per restoration.',
        'keep the right row.',
        [17, 18, 402, 403, 911],
      ),
      problem(
        'warn',
        'torque-off-target',
        'tightenings.csv',
        'achieved torque differs from the target by more than 10%.',
        'achieved torque within 10% of the target.',
        'check the wrench and its calibration.',
        Array.from({ length: 240 }, (_, index) => 3 + index * 7),
      ),
      problem(
        'note',
        'age-above-89',
        'restorations.csv',
        'ages of 90 and above are read as 90+.',
        'ages up to 89.',
        'nothing to do.',
        [77],
      ),
    ],
    rows: {
      restorations: { read: restorations + 79, setAside: 5 },
      tightenings: { read: restorations * 2, setAside: 0 },
      visits: { read: restorations * 4, setAside: 3 },
    },
    completeness: [
      field('restorations', 'restoration_id', restorations, 0),
      field('restorations', 'patient_id', restorations, 0),
      field('restorations', 'tooth_position', restorations, 0),
      field('restorations', 'connection', restorations, 14),
      field('restorations', 'implant_diameter_mm', restorations, 102),
      field('restorations', 'bruxism', restorations, Math.round(restorations * 0.22)),
      field('restorations', 'occlusal_guard', restorations, Math.round(restorations * 0.41)),
      field('tightenings', 'achieved_torque_ncm', restorations * 2, Math.round(restorations * 0.3)),
      field('tightenings', 'device_last_calibration_date', restorations * 2, restorations * 2),
      field('visits', 'screw_checked', restorations * 4, 0),
      field('visits', 'chair_minutes', restorations * 4, restorations * 2),
      field('visits', hostile ?? 'action_taken', restorations * 4, Math.round(restorations * 3.6)),
    ],
  }
}

function field(
  table: 'restorations' | 'tightenings' | 'visits',
  name: string,
  rows: number,
  unknown: number,
) {
  const missing = Math.min(rows, unknown)
  return { table, field: name, known: rows - missing, unknown: missing }
}

function problem(
  severity: Severity,
  code: string,
  file: string,
  found: string,
  expected: string,
  mend: string,
  rows: readonly number[],
): RecordProblem {
  return {
    severity,
    code,
    place: { file, column: code.includes('torque') ? 'achieved_torque_ncm' : 'restoration_id' },
    problem: found,
    expected,
    mend,
    count: rows.length,
    rows,
  }
}
