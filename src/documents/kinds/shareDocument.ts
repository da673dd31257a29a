import { type MessageCode, message } from '../../messages/message.js'
import { speaker } from '../../messages/speaker.js'
import { agreedOfList, type List } from '../../pooling/protocol/messages.js'
import type { AgreedProtocol } from '../../pooling/protocol/protocol.js'
import { type Block, foreign, type Phrase, paragraph, type ReportDocument } from '../model/document.js'
import { protocolTerms } from '../model/protocolTerms.js'

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

const said = (code: ModelCode): Phrase => speaker().phrase(message(code))
const text = (code: ModelCode): string => speaker().text(message(code))

/** A list under its heading. */
function listed(title: ModelCode | undefined, items: readonly ModelCode[]): readonly Block[] {
  return [
    ...(title === undefined ? [] : [{ kind: 'heading' as const, text: text(title) }]),
    { kind: 'list', items: items.map(said) },
  ]
}

/** The page that every practice reads before it answers: the stated model, what is not covered, the protocol, the call. */
export function shareDocument(
  about: BeforeAnswering,
  options: { readonly date: string; readonly generated: boolean; readonly name: string },
): ReportDocument {
  const agreed = 'list' in about ? agreedOfList(about.list) : about.agreed
  return {
    layout: 'compact',
    title: said('study-group.model.title'),
    kicker: text('study-group.model.kicker'),
    summary: [foreign(options.name)],
    generated: options.generated,
    date: options.date,
    sections: [
      ...('list' in about
        ? [{ id: 'call', title: text('study-group.model.call'), blocks: callBlocks(about) }]
        : []),
      {
        id: 'model',
        title: text('study-group.model.happens'),
        blocks: [
          ...listed(undefined, happens),
          ...listed('study-group.model.sees', sees),
          ...listed('study-group.model.cannot', cannot),
          ...listed('study-group.model.across', across),
        ],
      },
      {
        id: 'protocol',
        title: text('study-group.model.protocol-title'),
        blocks: [
          protocolTerms({
            protocol: agreed.protocol,
            protocolHash: agreed.hash,
          }),
        ],
      },
    ],
  }
}

function callBlocks({
  list,
  code,
  call,
}: Extract<BeforeAnswering, { readonly list: List }>): readonly Block[] {
  return [
    paragraph(said('study-group.model.call-text'), 'lead'),
    {
      kind: 'terms',
      entries: [
        { term: text('study-group.model.to-call'), meaning: [foreign(call)] },
        { term: text('study-group.model.code'), meaning: [foreign(code)] },
        {
          term: text('study-group.model.names'),
          meaning: [foreign(list.sites.map(({ name }) => name).join('; '))],
        },
      ],
    },
  ]
}
