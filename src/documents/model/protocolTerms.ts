import { listOf, message } from '../../messages/message.js'
import { endpointLabel } from '../../messages/names.js'
import { foreign } from '../../messages/phrase.js'
import { speaker } from '../../messages/speaker.js'
import type { Protocol } from '../../pooling/protocol/protocol.js'
import type { TermList } from '../../questions/words/blocks.js'
import { number, pathsOf } from '../../questions/words/place.js'

/** What the group agreed on, so that a page can be read without the file. */
export function protocolTerms(source: {
  readonly protocol: Protocol
  readonly protocolHash: string
  readonly listHash?: string
}): TermList {
  const { protocol, protocolHash, listHash } = source
  const { groups, release, covariates, waitWindowMinutes: wait, endpoints } = protocol
  const at = pathsOf(source).protocol
  const fields = covariates.map(({ field }) => field)
  const days = message('pooled.protocol.days', {
    begin: release.from === null ? 'delivery' : 'other',
    day: release.from ?? '',
    cutoff: release.cutoff,
  })
  return {
    kind: 'terms',
    entries: [
      {
        term: message('pooled.protocol.name'),
        meaning: message('pooled.protocol.name-version', {
          name: foreign(protocol.name),
          version: number(at.version, 'whole'),
        }),
      },
      { term: message('pooled.protocol.endpoints'), meaning: listOf(endpoints.map(endpointLabel), 'comma') },
      {
        term: message('pooled.protocol.groups'),
        meaning: foreign(`${groups.group} / ${groups.against}`),
      },
      { term: message('pooled.protocol.window'), meaning: `${wait.from}–${wait.to} min` },
      { term: message('pooled.protocol.release'), meaning: foreign(speaker().text(days)) },
      {
        term: message('pooled.protocol.covariates'),
        meaning: fields.length === 0 ? message('pooled.protocol.none') : foreign(fields.join(', ')),
      },
      { term: message('pooled.protocol.threshold'), meaning: number(at.threshold, 'whole') },
      { term: message('pooled.protocol.hash'), meaning: foreign(protocolHash) },
      ...(listHash === undefined
        ? []
        : [{ term: message('pooled.protocol.list'), meaning: foreign(listHash) }]),
    ],
  }
}
