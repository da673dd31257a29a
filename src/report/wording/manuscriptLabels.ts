/** Headings and labels of the draft of a case series. */
export const manuscriptLabels = Object.freeze({
  kicker: 'Manuscript draft: case series',
  sections: Object.freeze({
    abstract: 'Abstract',
    introduction: 'Introduction',
    methods: 'Methods',
    results: 'Results',
    discussion: 'Discussion',
    declarations: 'Declarations',
    references: 'References',
    checklist: 'Checklist',
    supplement: 'Supplement: records, settings and provenance',
  }),
  abstract: Object.freeze({
    background: 'Background',
    methods: 'Methods',
    results: 'Results',
    conclusions: 'Conclusions',
    keywords: 'Keywords',
  }),
  headings: Object.freeze({
    setting: 'Design and setting',
    participants: 'Restorations and patients',
    handling: 'Handling of the screw at delivery',
    outcome: 'Outcome',
    followUp: 'Time at risk and competing events',
    bias: 'Sources of bias',
    size: 'Size of the series',
    statistics: 'Statistical analysis',
    ethics: 'Ethics',
    who: 'Who was followed',
    often: 'How often',
    comparison: 'Single against repeated tightening',
    sensitivity: 'Other ways of looking at it',
    single: 'Every restoration',
    keyResults: 'Key results',
    limitations: 'Limitations',
    interpretation: 'Interpretation',
    reach: 'To whom it applies',
  }),
  beforeSubmitting: 'Before this is sent anywhere',
  blanksLeft: 'Marked places in square brackets are for the author. A draft with one left is not finished.',
  readIt:
    'Every sentence outside the brackets was made from the results by fixed rules. Read each as if a stranger had written it: whoever signs answers for it.',
  worksFromMemory:
    'Titles and last pages were set down from memory by the makers of the software: check each entry against the source itself.',
  checklistIntro:
    'The items are those that STROBE asks of cohort studies, in words of our own. “Here” means that the draft answers the item from the records, “in part” that the author has to add what records do not hold.',
  columns: Object.freeze({ item: 'Item', asks: 'Asks for', place: 'Place', state: 'Answered' }),
  states: Object.freeze({ here: 'here', part: 'in part', author: 'by the author' }),
  checklistCaption: 'STROBE items, and where each is answered',
})

/** One item of the checklist. */
export interface ChecklistItem {
  readonly item: string
  readonly asks: string
  /** Section in which it is answered. */
  readonly place: keyof typeof manuscriptLabels.sections
  readonly state: keyof typeof manuscriptLabels.states
  /** Table or figure that answers it, by its identifier, where there is one. */
  readonly block?: string
}

/** Items of STROBE (von Elm and others 2007), cohort studies, in words of our own. */
export const checklistItems: readonly ChecklistItem[] = Object.freeze([
  { item: '1a', asks: 'design named in the title or abstract', place: 'abstract', state: 'here' },
  { item: '1b', asks: 'a balanced summary in the abstract', place: 'abstract', state: 'part' },
  { item: '2', asks: 'background and reason for the study', place: 'introduction', state: 'author' },
  { item: '3', asks: 'objectives, with hypotheses', place: 'introduction', state: 'author' },
  { item: '4', asks: 'key elements of the design, early', place: 'methods', state: 'part' },
  { item: '5', asks: 'setting, places, dates', place: 'methods', state: 'part' },
  { item: '6', asks: 'who was eligible, where from, how followed', place: 'methods', state: 'part' },
  { item: '7', asks: 'outcomes, exposures, confounders, defined', place: 'methods', state: 'here' },
  { item: '8', asks: 'sources of data and how each was measured', place: 'methods', state: 'part' },
  { item: '9', asks: 'what was done about bias', place: 'methods', state: 'part' },
  { item: '10', asks: 'how the size came about', place: 'methods', state: 'part' },
  { item: '11', asks: 'how quantities were handled and grouped', place: 'methods', state: 'here' },
  { item: '12a', asks: 'all statistical methods, confounding included', place: 'methods', state: 'here' },
  { item: '12b', asks: 'methods for subgroups and interactions', place: 'methods', state: 'here' },
  { item: '12c', asks: 'how missing data were handled', place: 'methods', state: 'here' },
  { item: '12d', asks: 'how loss to follow-up was handled', place: 'methods', state: 'here' },
  { item: '12e', asks: 'sensitivity analyses', place: 'methods', state: 'here' },
  { item: '13a', asks: 'numbers at each stage', place: 'results', state: 'here', block: 'table-attrition' },
  { item: '13b', asks: 'reasons for leaving out', place: 'results', state: 'here', block: 'table-attrition' },
  { item: '13c', asks: 'a flow diagram', place: 'results', state: 'here', block: 'figure-attrition' },
  {
    item: '14a',
    asks: 'characteristics, exposures, confounders',
    place: 'results',
    state: 'here',
    block: 'table-characteristics',
  },
  {
    item: '14b',
    asks: 'missing values of each variable',
    place: 'results',
    state: 'here',
    block: 'table-characteristics',
  },
  { item: '14c', asks: 'follow-up time', place: 'results', state: 'here', block: 'table-followed' },
  {
    item: '15',
    asks: 'outcome events over time',
    place: 'results',
    state: 'here',
    block: 'table-life-table',
  },
  {
    item: '16a',
    asks: 'unadjusted and adjusted estimates with intervals',
    place: 'results',
    state: 'here',
    block: 'table-comparison-arms',
  },
  {
    item: '16b',
    asks: 'limits of categories made of numbers',
    place: 'results',
    state: 'here',
    block: 'table-characteristics',
  },
  {
    item: '16c',
    asks: 'absolute risk beside relative',
    place: 'results',
    state: 'here',
    block: 'table-risks',
  },
  {
    item: '17',
    asks: 'other analyses done',
    place: 'results',
    state: 'here',
    block: 'figure-comparison-forest',
  },
  { item: '18', asks: 'key results against the objectives', place: 'discussion', state: 'part' },
  { item: '19', asks: 'limitations, with direction and size of bias', place: 'discussion', state: 'part' },
  { item: '20', asks: 'a cautious interpretation', place: 'discussion', state: 'author' },
  { item: '21', asks: 'to whom the results apply', place: 'discussion', state: 'author' },
  { item: '22', asks: 'funding and the part of the funders', place: 'declarations', state: 'author' },
])
