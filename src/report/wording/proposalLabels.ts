import type { SensitivityKey } from '../../analysis/planFile.js'

/** Headings and labels of the draft of a study protocol. */
export const proposalLabels = Object.freeze({
  kicker: 'Draft of a study protocol',
  summary: 'Before any result; to be completed by the author',
  sections: Object.freeze({
    synopsis: 'The study at a glance',
    background: 'Why it is asked',
    question: 'The question',
    methods: 'Who, what and when',
    size: 'How many',
    analysis: 'How it will be analysed',
    data: 'How the data are looked after',
    deidentification: 'How people are protected',
    ethics: 'What an ethics board asks',
    references: 'References',
    provenance: 'The plan behind this draft',
  }),
  headings: Object.freeze({
    restorations: 'Restorations and patients',
    handling: 'Handling of the screw',
    outcome: 'Outcome',
    followUp: 'Follow-up',
    primary: 'What will lead',
    secondary: 'What stands beside it',
    missing: 'Missing values and losses',
    records: 'What is recorded',
    checks: 'How it is checked',
    keeping: 'Who holds it, where, and for how long',
    leaves: 'What may leave the practice, and in which form',
    stays: 'What never leaves it',
  }),
  beforeSending: 'Before it is sent to a board',
  captions: Object.freeze({
    synopsis: 'Synopsis',
    sizes: 'Restorations needed, by the risk in the comparator',
    fields: 'Fields that the analysis reads',
    shareable: 'What the form that may be shared does to each kind of detail',
    ethics: 'Questions of an ethics board',
    plan: 'The plan, field by field',
  }),
  columns: Object.freeze({
    part: 'Part',
    answer: 'Here',
    risk: 'Risk in the comparator',
    riskOfGroup: 'Risk to be told from it',
    independent: 'In each group, if independent and all followed',
    perGroup: 'In each group',
    together: 'Together',
    events: 'Events to be expected',
    field: 'Field',
    meaning: 'What it holds',
    table: 'Table',
    detail: 'In the records',
    shared: 'In the form that may be shared',
    question: 'Question',
    planField: 'Field of the plan',
    value: 'Decided',
  }),
})

/** Sensitivity analyses in words. */
export const sensitivityWords: Readonly<Record<SensitivityKey, string>> = Object.freeze({
  'visit-schedule': 'whether visits were scheduled alike in both groups',
  'last-contact': 'time at risk up to the last contact of any kind in place of the last check',
  'equal-follow-up': 'both groups followed for the same time',
  'later-tightening': 'tightenings at recall as an exposure from their own day on',
  'period-categories': 'each year of delivery by itself in place of a trend',
  'first-years-left-out': "each operator's first year with the group left out",
  'lost-to-follow-up': 'best and worst cases for those lost, and weights for losses',
  'missing-exposure': 'unknown handling counted once with each group',
  'reported-groups-left-out': 'handling known from the chart alone left out',
  misclassification: 'events missed or called wrongly, by fixed shares',
  'unmeasured-confounding': 'how strong something unrecorded would have to be (E-value)',
  'immortal-time': 'a wrong analysis on purpose, to show what it would have said',
  'multiple-imputation': 'missing values filled in several times',
})

/** What the form that may be shared does, kind by kind; as docs/records-sharing.md says. */
export const shareableRows: readonly (readonly [string, string])[] = Object.freeze([
  ['names, addresses, numbers of records or insurance', 'not in the records at all: they stop the run'],
  ['pseudonyms of patients, restorations, clinics, operators', 'new pseudonyms drawn at random'],
  ['dates', 'whole days since delivery; of the delivery itself the year'],
  ['age', 'bands: 0–15, 16–29, tens, 90 and above'],
  ['lots, serial numbers, free text, columns that are no fields', 'left out'],
  ['position of the tooth', 'as it is, or jaw and region only'],
  ['order of rows', 'that of the new pseudonyms'],
])

/** What an ethics board asks; the answer is drafted where the plan or the software gives one. */
export interface BoardQuestion {
  readonly question: string
  /** What can be said from the plan. */
  readonly drafted?: string
  /** What the author has to say. */
  readonly author: string
}

/** Questions of an ethics board, in the order in which most forms ask them; common practice, no source. */
export const boardQuestions: readonly BoardQuestion[] = Object.freeze([
  {
    question: 'What is the study good for, and for whom?',
    author: 'in words that a patient would understand',
  },
  {
    question: 'What happens to patients that would not happen without the study?',
    drafted: 'By this plan nothing: records of care that was given anyway are read.',
    author: 'confirm, or name every visit, test or question that the study adds',
  },
  {
    question: 'Who is studied, and is anybody left out who should not be?',
    drafted: 'Every restoration that meets the definition enters; who did not is counted, with the reason.',
    author: 'how patients came to the practice; whether minors or people who cannot consent are among them',
  },
  {
    question: 'Is there consent, or on what ground is there none?',
    author:
      'consent form, or the law and the reason for a waiver; how people were told, and how they can object',
  },
  {
    question: 'On what legal ground are the data used?',
    author: 'article and purpose; the controller, and any processor',
  },
  {
    question: 'What could harm people, and what is done about it?',
    drafted:
      'The risk is that somebody is recognised. Records hold pseudonyms; what leaves the practice has days in place of dates and bands in place of ages, and small groups are counted before.',
    author: 'any other risk; who is told if something goes wrong, and when',
  },
  {
    question: 'What is done when the study finds that somebody needs care?',
    drafted:
      'A screw found loose is treated at once, whatever the study; the list of overdue checks is for the practice.',
    author: 'who looks at it, and how patients are reached',
  },
  {
    question: 'Who can see what?',
    author: 'names or roles, for the records, the key file, the shared form and the results',
  },
  {
    question: 'Does anything leave the practice, the country, or the law under which it was collected?',
    drafted: 'The analysis runs on a machine of the practice and sends nothing anywhere.',
    author: 'who receives the shared form or the counts, where they are, and under which agreement',
  },
  {
    question: 'How long are data kept, and how are they destroyed?',
    author: 'for records, key file, shared form, results',
  },
  { question: 'Can somebody withdraw, and what happens to the data then?', author: 'until when, and how' },
  {
    question: 'Who pays, and who gains?',
    author: 'funding; payments by makers of components; fees; shares; what each could gain from a result',
  },
  {
    question: 'Will the results be published whatever they are?',
    drafted:
      'The contrast that leads, the horizon and the smallest difference that matters are fixed before; the report lists whatever departs from the plan.',
    author: 'where the study is registered; who decides on publication; by when',
  },
  { question: 'Have patients had a say?', author: 'in the question, the outcome, the leaflet' },
  {
    question: 'Who may change this protocol, and how is the board told?',
    author: 'name or role; what counts as a change',
  },
])
