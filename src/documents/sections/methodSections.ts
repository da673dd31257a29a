import { type MethodName, oncePerMethod } from '../../core/method.js'
import { message } from '../../messages/message.js'
import { methodWords } from '../../messages/methodWords.js'
import type { AuditResult } from '../../questions/audit.js'
import { usedMethods } from '../../questions/registry.js'
import * as unworded from '../../questions/words/blocks.js'
import { foreignCell, table, textColumn, wordCell } from '../../questions/words/blocks.js'
import { type Citations, citationsOf } from '../model/citation.js'
import { type Block, foreign, paragraph, type Section } from '../model/document.js'
import { limitationsOf } from '../model/limitations.js'
import { wordedBlocks } from '../model/worded.js'
import {
  cautions,
  definitions,
  labelsOf,
  limitationWords,
  methodsParagraphs,
  settingLines,
} from '../wording/index.js'
import type { SectionContext } from './context.js'

/** Working definitions. */
export function definitionsSection({ audit, cite }: SectionContext): Section {
  return {
    id: 'definitions',
    title: labelsOf(cite.by).sections.definitions,
    blocks: [{ kind: 'terms', entries: definitions(audit, cite) }],
  }
}

/** What was really done: a text that can be taken over, and the method of each number. */
export function methodsSection({ audit, cite, version }: SectionContext): Section {
  return {
    id: 'methods',
    title: labelsOf(cite.by).sections.methods,
    blocks: [
      ...methodsParagraphs(audit, cite, version).map((content) => paragraph(content)),
      ...tablesSaid(cite, methodsTable(audit, cite)),
    ],
  }
}

/** All cautions. */
export function cautionsSection({ audit, cite }: SectionContext): Section {
  return {
    id: 'cautions',
    title: labelsOf(cite.by).sections.cautions,
    blocks: [{ kind: 'list', items: cautions(audit, cite) }],
  }
}

/** Version, settings, seed, files and their checksums. */
export function provenanceSection({ audit, cite, version }: SectionContext): Section {
  const { source } = audit.summary
  const { plan } = audit.settings
  return {
    id: 'provenance',
    title: labelsOf(cite.by).sections.provenance,
    blocks: tablesSaid(
      cite,
      unworded.paragraph(message('provenance.made-with', { version: foreign(version) })),
      table('settings', message('caption.table.settings'), {
        columns: [textColumn(message('label.column.setting')), textColumn(message('label.column.value'))],
        rows: settingLines(audit, cite).map(({ name, value }) => [wordCell(name), wordCell(value)]),
      }),
      table('files', message('caption.table.files'), {
        columns: [textColumn(message('label.column.file')), textColumn(message('label.column.checksum'))],
        rows: [
          ...source.files.map(({ name, sha256 }) => [foreignCell(name), foreignCell(sha256)]),
          [wordCell(message('label.allFiles')), foreignCell(source.sha256)],
          ...(plan?.source === 'file'
            ? [[wordCell(message('document.plan-written-beforehand')), foreignCell(plan.sha256)]]
            : []),
        ],
      }),
    ),
  }
}

function tablesSaid({ by }: Citations, ...blocks: readonly unworded.Block[]): readonly Block[] {
  return wordedBlocks(blocks, by, { generated: false, full: true })
}

function methodsTable(audit: AuditResult, cite: Citations): unworded.Table {
  return table('methods', message('caption.table.methods'), {
    columns: [
      textColumn(message('label.column.quantity')),
      textColumn(message('label.column.method')),
      textColumn(message('label.column.page')),
    ],
    rows: methodsUsed(audit, cite).map(({ quantity, method, reference }) => [
      wordCell(quantity),
      wordCell(methodWords(method)),
      foreignCell(reference),
    ]),
  })
}

interface MethodUsed {
  readonly quantity: string
  readonly method: MethodName
  readonly reference: string
}

/** Every method that a result of this audit names, in the order of the questions, each once for each quantity. */
export function methodsUsed(audit: AuditResult, { by } = citationsOf(audit)): readonly MethodUsed[] {
  return usedMethods(audit).flatMap(({ quantity, used }) =>
    oncePerMethod(used).map(({ method, reference }) => ({ quantity: by.text(quantity), method, reference })),
  )
}

/** What limits the results, as far as the data set it off. */
export function limitationsSection(context: SectionContext): Section {
  return {
    id: 'limitations',
    title: labelsOf(context.cite.by).sections.limitations,
    blocks: limitationBlocks(context),
  }
}

/** The limitations as a list with its opening. */
export function limitationBlocks({ audit, cite }: SectionContext): Block[] {
  const keys = limitationsOf(audit)
  if (keys.length === 0) return [paragraph(cite.say('limitation.none'))]
  return [
    paragraph(cite.say('limitation.opening')),
    { kind: 'list', items: keys.map((key) => limitationWords[key](audit, cite)) },
  ]
}
