import { expect } from 'vitest'
import type { Block, Phrase, ReportDocument } from '../../src/documents/model/document.js'
import { plainText } from '../../src/documents/model/document.js'

/**
 * Words that no sentence of ours may hold, since observational data and large P values do not bear them. A test looks
 * for them, as whole words, in every string of every report.
 */
export const forbiddenWords: readonly string[] = Object.freeze([
  'no difference',
  'not different',
  'no effect',
  'prevents',
  'prevent',
  'prevented',
  'causes',
  'caused',
  'leads to',
  'due to',
  'safe',
  'safely',
  'works',
  'worked',
  'is effective',
  'more effective',
  'ineffective',
  'proves',
  'proven',
  'proof',
  'protects',
  'protective',
  'guarantees',
  'guaranteed',
  'significant',
  'significantly',
  'insignificant',
  'superior',
  'inferior',
  'best practice',
])

/** No sentence may hold a word that observations and large P values do not bear. */
export function expectNoForbiddenWord(text: string): void {
  for (const word of forbiddenWords) {
    expect(new RegExp(`\\b${word}\\b`, 'i').test(text), `“${word}” in “${text}”`).toBe(false)
  }
}

/** No sentence may show the inside of the software. */
export function expectReadable(text: string): void {
  expect(text).not.toMatch(/NaN|undefined|null|Infinity|\[object|\$\{| {2}|\.\.(?!\.)| \./)
  expect(text).not.toMatch(/(?<![\d,.–-])1 (?:restorations|patients|events|operators|clinics|rows|years)\b/)
}

/** Every text of a document. */
export function textsOfDocument(document: ReportDocument): readonly string[] {
  return [
    plainText(document.title),
    plainText(document.summary),
    ...document.sections.flatMap(({ title, blocks, aside }) => [
      title,
      ...textsOfBlocks(blocks),
      ...(aside === undefined ? [] : [aside.title, ...textsOfBlocks(aside.blocks)]),
    ]),
  ]
}

/** Every text of blocks. */
export function textsOfBlocks(blocks: readonly Block[]): readonly string[] {
  return blocks.flatMap(phrasesOf).map(plainText)
}

/** Every phrase of a block, text alternatives included. */
export function phrasesOf(block: Block): readonly Phrase[] {
  switch (block.kind) {
    case 'paragraph':
      return [block.content]
    case 'heading':
      return [[block.text]]
    case 'list':
      return block.items
    case 'terms':
      return block.entries.flatMap(({ term, meaning }) => [[term], meaning])
    case 'key-figures':
      return block.figures.flatMap(({ label, value, interval }) => [label, value, interval])
    case 'table':
      return [
        [block.caption],
        ...block.columns.map(({ title }) => [title]),
        ...block.rows.flat().flatMap(({ content, under }) => [content, under ?? []]),
        ...block.notes,
      ]
    case 'figure':
      return [[block.caption], [block.page.description], [block.column.description], ...block.notes]
  }
}
