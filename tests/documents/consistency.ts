import { isNumber } from '../../src/core/estimate.js'
import type { Block, CitedNumber, Phrase, ReportDocument, Table } from '../../src/documents/model/document.js'
import { plainText } from '../../src/documents/model/document.js'
import type { AuditResult } from '../../src/questions/audit.js'
import { phrasesOf } from './wordChecks.js'

/** What contradicts itself in the documents of one audit, each finding with the name of its document; empty where nothing does. */
export function contradictionsIn(
  audit: AuditResult,
  documents: Readonly<Record<string, ReportDocument>>,
): readonly string[] {
  const said = new Map<string, string>()
  return [
    ...equalCounts(audit),
    ...Object.entries(documents).flatMap(([name, document]) => {
      const phrases = [
        document.title,
        document.summary,
        ...document.sections.flatMap(({ blocks, aside }) =>
          [...blocks, ...(aside?.blocks ?? [])].flatMap(phrasesOf),
        ),
      ]
      const tables = document.sections.flatMap(({ blocks }) =>
        blocks.filter((one): one is Table => one.kind === 'table'),
      )
      return [
        ...phrases.flatMap((one) => [
          ...intervalFaults(one),
          ...wordFaults(one),
          ...horizonFaults(one),
          ...claimFaults(one, audit),
        ]),
        ...phrases.flatMap((one) => renamed(one, said)),
        ...tables.flatMap(columnFaults),
        ...document.sections.flatMap(({ blocks }) => saidTwice(blocks)),
      ].map((fault) => `${name}: ${fault}`)
    }),
  ]
}

/** Every number of a phrase, in order. */
export function numbersIn(phrase: Phrase): readonly CitedNumber[] {
  return phrase.flatMap((part) => {
    if (typeof part === 'string') return []
    if (part.kind === 'strong') return numbersIn(part.content)
    return part.kind === 'number' ? [part] : []
  })
}

/** Items of a list that another paragraph, item or note of the same section says as well, word for word or behind the name of a group. */
export function saidTwice(blocks: readonly Block[]): readonly string[] {
  const items = blocks.flatMap((one) => (one.kind === 'list' ? one.items.map(plainText) : []))
  const others = blocks.flatMap((one) =>
    one.kind === 'paragraph' ? [one.content] : one.kind === 'table' || one.kind === 'figure' ? one.notes : [],
  )
  return items.flatMap((item, index) =>
    item.length > 30 &&
    (items.indexOf(item) !== index || others.some((other) => plainText(other).endsWith(item)))
      ? [`said twice: “${item}”`]
      : [],
  )
}

/** Words that show a seam. */
export function wordFaults(phrase: Phrase): readonly string[] {
  const text = plainText(phrase)
  const seams = [
    /(?<![\d,.–−-]|\d to )1 (?:restorations|patients|events|crowns|operators|clinics|visits|years)\b/,
    /(not estimable|not reached)[^(.;,]{0,3}\(\1/,
    /\bNaN\b|\bundefined\b|\bnull\b|\bInfinity\b|\[object/,
  ]
  return seams.flatMap((one) => (one.test(text) ? [`${one.exec(text)![0]} in “${text.slice(0, 200)}”`] : []))
}

const ends = /\.(?:interval\.)?(lower|upper)$/

/** A limit that is not of the estimate it stands behind; an interval without a width. */
export function intervalFaults(phrase: Phrase): readonly string[] {
  const faults: string[] = []
  let estimate: string | undefined
  let lower: CitedNumber | undefined
  for (const one of numbersIn(phrase)) {
    const end = ends.exec(one.path)
    const owner = one.path.replace(ends, '')
    if (one.path.endsWith('.estimate')) estimate = one.path.replace(/\.estimate$/, '')
    if (end === null) continue
    if (
      estimate !== undefined &&
      owner !== estimate &&
      !/betweenLooks\.range|precision|noneSeen|proportion/.test(one.path)
    ) {
      faults.push(`limit ${one.path} behind the estimate ${estimate}`)
    }
    if (end[1] === 'lower') lower = one
    // The median follow-up of restorations that were all followed alike has no width, and rightly so.
    else if (
      !owner.endsWith('medianFollowUpYears') &&
      lower !== undefined &&
      lower.path.replace(ends, '') === owner &&
      lower.value === one.value
    ) {
      faults.push(`interval of no width at ${owner}`)
    }
  }
  return faults
}

/** A risk or a difference of risks in running text that names no time. */
export function horizonFaults(phrase: Phrase): readonly string[] {
  const of = numbersIn(phrase).find(({ path }) =>
    /(?:horizons\.\d+|howOften\.horizon)\.risk\.estimate$|lead\.difference\.estimate$/.test(path),
  )
  const text = plainText(phrase)
  return of === undefined || !/[a-z]{4,} [a-z]+ [a-z]+/i.test(text) || /year|half a year/.test(text)
    ? []
    : [`no horizon named for ${of.path} in “${text}”`]
}

/** A direction that the verdict does not bear. */
export function claimFaults(phrase: Phrase, { tightening }: AuditResult): readonly string[] {
  const text = plainText(phrase)
  const claims =
    /was associated with a risk|fewer restoration with/.test(text) &&
    numbersIn(phrase).some(({ path }) => path.startsWith('tightening.'))
  return claims && tightening?.verdict !== 'lower' && tightening?.verdict !== 'higher'
    ? [`a direction without a verdict: “${text}”`]
    : []
}

/** One place of the results, one rounding, one text. */
function renamed(phrase: Phrase, said: Map<string, string>): readonly string[] {
  return numbersIn(phrase).flatMap(({ path, format, text }) => {
    const key = `${path} as ${format}`
    const before = said.get(key)
    said.set(key, text)
    return before === undefined || before === text ? [] : [`${key} is ${before} and ${text}`]
  })
}

/** A difference in a column of risks, or a risk in a column of differences. */
export function columnFaults(table: Table): readonly string[] {
  return table.rows.flatMap((row) =>
    row.flatMap(({ content }, index) => {
      const title = table.columns[index]!.title
      return numbersIn(content).flatMap(({ path }) => {
        const difference = /[dD]ifference/.test(path.replace('standardisedDifference', ''))
        if (/^Difference/.test(title) && /\.risk\./.test(path))
          return [`${path} under ${title} in ${table.id}`]
        return /^(?:Risk|Cumulative incidence)/.test(title) && difference
          ? [`${path} under ${title} in ${table.id}`]
          : []
      })
    }),
  )
}

/** The same count under several names, and the same risk in the answer, in the table and for machines. */
export function equalCounts(audit: AuditResult): readonly string[] {
  const { howOften, incidence, tightening, answer } = audit
  const group = (name: string) => incidence.byGroup.find((one) => one.group === name)
  const pairs: readonly (readonly [string, unknown, unknown])[] = [
    ['events', howOften.events, incidence.overall.events],
    ['restorations', howOften.restorations, incidence.overall.restorations],
    ['answered restorations', answer?.restorations.analysed ?? howOften.restorations, howOften.restorations],
    ['answered events', answer?.howOften.events ?? howOften.events, howOften.events],
    ...(tightening?.groups.by === 'measured'
      ? (['group', 'against'] as const).flatMap((side) => {
          const own = group(tightening.groups[side])
          return [
            [`restorations of ${side}`, tightening.restorations[side], own?.restorations],
            [`events of ${side}`, tightening.events[side], own?.events],
          ] as const
        })
      : []),
  ]
  const risk = howOften.horizon?.risk
  const tabled = incidence.overall.horizons.find(({ years }) => years === howOften.years)?.risk
  const risks =
    howOften.verdict === 'estimate' && risk !== undefined && tabled !== undefined && isNumber(risk.estimate)
      ? ([
          [
            'risk',
            JSON.stringify([risk.estimate, risk.interval]),
            JSON.stringify([tabled.estimate, tabled.interval]),
          ],
          ['answered risk', answer?.howOften.risk?.estimate ?? risk.estimate, risk.estimate],
        ] as const)
      : []
  const difference = answer?.comparison?.difference
  const compared =
    difference === undefined
      ? []
      : ([['difference', JSON.stringify(difference), JSON.stringify(tightening?.lead?.difference)]] as const)
  return [...pairs, ...risks, ...compared].flatMap(([name, one, other]) =>
    one === other ? [] : [`${name}: ${String(one)} and ${String(other)}`],
  )
}
