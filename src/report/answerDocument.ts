import type { RoundAnswer } from '../pooling/summarySchema.js'
import { numberCell, numberColumn, wordCell } from './cells.js'
import { citationsOf } from './citation.js'
import { type Cell, foreign, paragraph, phrase, type ReportDocument, type Table } from './document.js'
import { answerWords, shareWords } from './wording/pooledWords.js'

/** The page that a site reads before it sends its answer to a round of the model: every number of the file. */
export function answerDocument(
  answer: RoundAnswer,
  options: { readonly date: string; readonly generated: boolean },
): ReportDocument {
  const cite = citationsOf(answer)
  return {
    layout: 'report',
    title: [answerWords.title],
    kicker: shareWords.kicker,
    summary: phrase`${foreign(answer.clinic)}, release ${cite.number('release', 'whole')}, round ${cite.number('round', 'whole')}`,
    generated: options.generated,
    date: options.date,
    sections: [
      {
        id: 'answer',
        title: shareWords.leaves,
        blocks: [
          paragraph([answerWords.lead], 'lead'),
          paragraph([answer.outerProducts === null ? answerWords.notLast : answerWords.last]),
          sumsTable(answer),
        ],
      },
    ],
  }
}

/** One row for each coefficient, with its products with every other. */
function sumsTable(answer: RoundAnswer): Table {
  const cite = citationsOf(answer)
  const sizes = answer.sums.coefficients.map((_one, j) => j)
  const numbered = (words: string): readonly string[] => sizes.map((k) => `${words} ${k + 1}`)
  const numbers = (paths: readonly string[]): readonly Cell[] =>
    paths.map((path) => numberCell(cite, path, 'correlation'))
  const last = answer.outerProducts !== null
  return {
    kind: 'table',
    id: 'table-answer',
    caption: answerWords.caption,
    columns: [
      'coefficient',
      'value',
      'score',
      ...numbered('information with'),
      ...(last ? numbered('outer product with') : []),
    ].map(numberColumn),
    rows: sizes.map((j) => [
      wordCell(String(j + 1)),
      ...numbers([
        `sums.coefficients.${j}`,
        `sums.score.${j}`,
        ...sizes.map((k) => `sums.information.${j}.${k}`),
        ...(last ? sizes.map((k) => `outerProducts.${j}.${k}`) : []),
      ]),
    ]),
    notes: [
      [answerWords.logLikelihood, cite.number('sums.logLikelihood', 'correlation'), '. ', answerWords.digits],
    ],
  }
}
