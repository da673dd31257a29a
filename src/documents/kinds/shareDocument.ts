import { type MessageCode, message } from '../../messages/message.js'
import { foreign } from '../../messages/phrase.js'
import { speaker } from '../../messages/speaker.js'
import { agreedOfList, type List } from '../../pooling/protocol/messages.js'
import type { AgreedProtocol } from '../../pooling/protocol/protocol.js'
import { type Block, heading, paragraph } from '../../questions/words/blocks.js'
import type { ReportDocument, Section } from '../model/document.js'
import { protocolTerms } from '../model/pooledBlocks.js'
import { wordedBlocks } from '../model/worded.js'

/** What the page is about: the protocol alone before there is a list, and the list with its code after that. */
export type BeforeAnswering =
  | { readonly agreed: AgreedProtocol }
  | { readonly list: List; readonly code: string; readonly call: string }

type ModelCode = Extract<MessageCode, `study-group.model.${string}`>

const codes = (part: string, count: number): readonly ModelCode[] =>
  Array.from({ length: count }, (_one, i) => `study-group.model.${part}-${i + 1}` as ModelCode)
const [happens, sees, cannot, across] = [
  codes('happens', 4),
  codes('sees', 4),
  codes('cannot', 7),
  codes('across', 4),
] as const

/** A list under its heading. */
function listed(title: ModelCode | undefined, items: readonly ModelCode[]): readonly Block[] {
  return [
    ...(title === undefined ? [] : [heading(message(title))]),
    { kind: 'list', items: items.map((item) => message(item)) },
  ]
}

/** The page that every practice reads before it answers: the stated model, what is not covered, the protocol, the call. */
export function shareDocument(
  about: BeforeAnswering,
  options: { readonly date: string; readonly generated: boolean; readonly name: string },
): ReportDocument {
  const by = speaker()
  const { protocol, hash } = 'list' in about ? agreedOfList(about.list) : about.agreed
  const section = (id: string, title: ModelCode, blocks: readonly Block[]): Section => ({
    id,
    title: by.text(message(title)),
    blocks: wordedBlocks(blocks, by, { generated: options.generated, full: true }),
  })
  return {
    layout: 'compact',
    title: by.phrase(message('study-group.model.title')),
    kicker: by.text(message('study-group.model.kicker')),
    summary: [foreign(options.name)],
    generated: options.generated,
    date: options.date,
    sections: [
      ...('list' in about ? [section('call', 'study-group.model.call', callBlocks(about))] : []),
      section('model', 'study-group.model.happens', [
        ...listed(undefined, happens),
        ...listed('study-group.model.sees', sees),
        ...listed('study-group.model.cannot', cannot),
        ...listed('study-group.model.across', across),
      ]),
      section('protocol', 'study-group.model.protocol-title', [
        protocolTerms({ protocol, protocolHash: hash }),
      ]),
    ],
  }
}

function callBlocks({
  list,
  code,
  call,
}: Extract<BeforeAnswering, { readonly list: List }>): readonly Block[] {
  const names = list.sites.map(({ name }) => name).join('; ')
  return [
    paragraph(message('study-group.model.call-text'), 'lead'),
    {
      kind: 'terms',
      entries: [
        { term: message('study-group.model.to-call'), meaning: foreign(call) },
        { term: message('study-group.model.code'), meaning: foreign(code) },
        { term: message('study-group.model.names'), meaning: foreign(names) },
      ],
    },
  ]
}
