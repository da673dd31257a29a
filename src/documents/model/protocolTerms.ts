import { listOf } from '../../messages/message.js'
import { endpointLabel } from '../../messages/names.js'
import type { Protocol } from '../../pooling/protocol/protocol.js'
import { pooledText as text } from '../wording/pooledWords.js'
import { citationsOf } from './citation.js'
import { type Block, foreign, type Phrase } from './document.js'

/** What the group agreed on, so that a page can be read without the file. */
export function protocolTerms(source: {
  readonly protocol: Protocol
  readonly protocolHash: string
  readonly listHash?: string
}): Block {
  const { protocol, protocolHash, listHash } = source
  const { groups, release, covariates, waitWindowMinutes: wait, endpoints } = protocol
  const cite = citationsOf({ protocol })
  const number = (path: string): Phrase => [cite.number(`protocol.${path}`, 'whole')]
  const fields = covariates.map(({ field }) => field)
  return {
    kind: 'terms',
    entries: [
      {
        term: text('pooled.protocol.name'),
        meaning: cite.say('pooled.protocol.name-version', {
          name: foreign(protocol.name),
          version: number('version'),
        }),
      },
      {
        term: text('pooled.protocol.endpoints'),
        meaning: cite.by.phrase(listOf(endpoints.map(endpointLabel), 'comma')),
      },
      { term: text('pooled.protocol.groups'), meaning: [foreign(`${groups.group} / ${groups.against}`)] },
      { term: text('pooled.protocol.window'), meaning: [`${wait.from}–${wait.to} min`] },
      {
        term: text('pooled.protocol.release'),
        meaning: [
          foreign(
            cite.text('pooled.protocol.days', {
              begin: release.from === null ? 'delivery' : 'other',
              day: release.from ?? '',
              cutoff: release.cutoff,
            }),
          ),
        ],
      },
      {
        term: text('pooled.protocol.covariates'),
        meaning: fields.length === 0 ? [text('pooled.protocol.none')] : [foreign(fields.join(', '))],
      },
      { term: text('pooled.protocol.threshold'), meaning: number('threshold') },
      { term: text('pooled.protocol.hash'), meaning: [foreign(protocolHash)] },
      ...(listHash === undefined
        ? []
        : [{ term: text('pooled.protocol.list'), meaning: [foreign(listHash)] }]),
    ],
  }
}
