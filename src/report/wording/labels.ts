import { printable } from '../../charts/words.js'
import { message } from '../../messages/message.js'
import { speaker } from '../../messages/speaker.js'

/** Headings, heads of columns and other short labels. */
export const labels = Object.freeze({
  kicker: 'Audit report',
  generatedStrip: 'Generated demonstration data: no real patients, clinics or operators',
  maker: 'Holdfast',
  made: 'Made on',
  contents: 'Contents',
  documents: speaker().text(message('documents.where')),
  toAnswer: 'Skip to the answer',
  generatedName: 'Kind of data',
  generatedShort: 'generated demonstration data',
  footer:
    'Made with Holdfast, which reads the records of a practice on the machine of the practice and sends nothing anywhere.',
  figure: 'Figure',
  table: 'Table',
  sections: Object.freeze({
    answer: 'The answer',
    incidence: 'How often',
    retention: 'How long restorations stay free of it',
    comparison: 'Single against repeated tightening',
    cohort: 'Which restorations this is about',
    quality: 'Quality of the records',
    definitions: 'Definitions',
    methods: 'What was done',
    cautions: 'Cautions',
    provenance: 'Where this comes from',
  }),
  readWithCare: 'Read with care',
  columns: Object.freeze({
    group: 'Group',
    restorations: 'Restorations',
    patients: 'Patients',
    events: 'Events',
    competing: 'Competing events',
    restorationYears: 'Restoration-years',
    followUp: 'Median follow-up, years',
    share: 'Share with the event',
    rate: 'Per 100 restoration-years',
    atRisk: 'At risk',
    years: 'Years',
    afterLastLook: 'Right after the last clean look',
    midpoint: 'Halfway (leads)',
    found: 'On the day of finding',
    difference: 'Difference in risk, percentage points',
    ratio: 'Hazard ratio',
    allowsFor: 'Allows for',
    test: 'Test',
    statistic: 'Statistic',
    degrees: 'Degrees of freedom',
    pValue: 'P value',
    reason: 'Reason',
    leftOut: 'Left out',
    remaining: 'Remaining',
    step: 'Step',
    table: 'Table',
    read: 'Rows read',
    setAside: 'Set aside',
    problem: 'Problem',
    place: 'Where',
    what: 'The rows were',
    rows: 'Rows',
    count: 'Count',
    expected: 'Expected',
    expectedAndMend: 'Expected, and the mend',
    mend: 'Mend',
    field: 'Field',
    known: 'Known',
    unknown: 'Unknown',
    knownShare: 'Known, share',
    quantity: 'Quantity',
    method: 'Method as carried out',
    page: 'Page in docs/methods',
    setting: 'Setting',
    value: 'Value',
    file: 'File',
    checksum: 'SHA-256',
    comparison: 'Comparison',
    lower: 'lower limit',
    upper: 'upper limit',
  }),
  quantities: Object.freeze({
    proportion: 'Share with the event',
    rate: 'Rate per 100 restoration-years',
    risk: 'Cumulative incidence',
    retention: 'Retention curve',
    followUp: 'Median follow-up',
    difference: 'Difference in risk',
    ratio: 'Hazard ratio',
    test: 'Test of two curves',
  }),
  crude: 'Crude',
  adjusted: 'Adjusted',
  wholeFile: 'whole file',
  allFiles: 'All files together',
  noRows: 'none',
})

/** Name of the control with which the values of a figure are read. */
export function readerName(figure: string): string {
  return `Values of ${figure}. Arrows left and right: along; up and down: the next curve or row.`
}

/** Captions of tables. */
export const tableCaptions = Object.freeze({
  events: 'Events, by handling on the delivery day',
  followed: 'Who was followed, and for how long',
  risks: 'Cumulative incidence by years since delivery',
  placement: 'The risk by where between its last clean look and its finding each event is placed',
  retention: 'Share free of the event by years since delivery',
  'at-risk': 'Restorations at risk and events so far, under the ticks of the curves',
  differences: 'Difference in risk between the groups',
  'hazard-ratios': 'Hazard ratios',
  'curve-test': 'Test of the two curves',
  reasons: 'How the groups came about',
  attrition: 'Every row accounted for',
  rows: 'Rows read and set aside',
  problems: 'Problems found in the records',
  'set-aside': 'Rows set aside',
  completeness: 'Completeness of every field',
  'unknown-by-clinic': 'Unknown values by clinic',
  'unknown-by-tightening': 'Unknown values by the tightening group that the chart states',
  methods: 'Methods, as the results name them',
  settings: 'Settings',
  files: 'Files that were read',
})

/** Captions of figures. */
export const figureCaptions = Object.freeze({
  retention: 'Share free of the event over time, with numbers at risk',
  'retention-other': 'The same for restorations handled in other ways on the delivery day',
  incidence: 'Cumulative incidence over time, with competing events',
  differences: 'Difference in risk at each horizon',
  'hazard-ratios': 'Hazard ratios, by what they allow for',
  attrition: 'From the rows that were read to the cohort',
  completeness: 'How complete the fields are',
})

/** Name of a variant of the hazard ratio. */
export function variantTitle(key: string): string {
  if (key === 'crude') return labels.crude
  return key === 'adjusted' ? labels.adjusted : printable(key)
}
