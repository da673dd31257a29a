import { agreedOfList, type List } from '../pooling/protocol/messages.js'
import type { AgreedProtocol } from '../pooling/protocol/protocol.js'
import { type Block, foreign, paragraph, type ReportDocument } from './document.js'
import { protocolTerms } from './protocolTerms.js'
import { modelWords } from './wording/pooledWords.js'

/** What the page is about: the protocol alone before there is a list, and the list with its code after that. */
export type BeforeAnswering =
  | { readonly agreed: AgreedProtocol }
  | { readonly list: List; readonly code: string }

/** The page that every practice reads before it answers: the stated model, what is not covered, the protocol, the call. */
export function shareDocument(
  about: BeforeAnswering,
  options: { readonly date: string; readonly generated: boolean; readonly name: string },
): ReportDocument {
  const agreed = 'list' in about ? agreedOfList(about.list) : about.agreed
  const list = (title: string, items: readonly string[]): readonly Block[] => [
    { kind: 'heading', text: title },
    { kind: 'list', items: items.map((item) => [item]) },
  ]
  return {
    layout: 'report',
    title: [modelWords.title],
    kicker: modelWords.kicker,
    summary: [foreign(options.name)],
    generated: options.generated,
    date: options.date,
    sections: [
      ...('list' in about ? [{ id: 'call', title: modelWords.call, blocks: callBlocks(about) }] : []),
      {
        id: 'model',
        title: modelWords.happens,
        blocks: [
          { kind: 'list', items: modelWords.happensItems.map((item) => [item]) },
          ...list(modelWords.sees, modelWords.seesItems),
          ...list(modelWords.cannot, modelWords.cannotItems),
          ...list(modelWords.across, modelWords.acrossItems),
        ],
      },
      {
        id: 'protocol',
        title: modelWords.protocolTitle,
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

function callBlocks({ list, code }: { readonly list: List; readonly code: string }): readonly Block[] {
  return [
    paragraph([modelWords.callText], 'lead'),
    {
      kind: 'terms',
      entries: [
        { term: modelWords.code, meaning: [foreign(code)] },
        { term: modelWords.names, meaning: [foreign(list.sites.map(({ name }) => name).join('; '))] },
      ],
    },
  ]
}
