import type { Protocol } from '../pooling/protocol/protocol.js'
import { citationsOf } from './citation.js'
import { type Block, foreign, type Phrase } from './document.js'
import { pooledWords } from './wording/pooledWords.js'

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
  const words = pooledWords.protocol
  const fields = covariates.map(({ field }) => field)
  return {
    kind: 'terms',
    entries: [
      { term: words.name, meaning: [foreign(`${protocol.name}, `), words.version, ...number('version')] },
      { term: words.endpoints, meaning: [foreign(endpoints.join(', ').replaceAll('_', ' '))] },
      { term: words.groups, meaning: [foreign(`${groups.group} / ${groups.against}`)] },
      { term: words.window, meaning: [`${wait.from}–${wait.to} min`] },
      {
        term: words.release,
        meaning: [
          foreign(
            `${release.from === null ? words.begin : `${words.after}${release.from}`}${words.upTo}${release.cutoff}`,
          ),
        ],
      },
      { term: words.covariates, meaning: fields.length === 0 ? [words.none] : [foreign(fields.join(', '))] },
      { term: words.threshold, meaning: number('threshold') },
      { term: words.hash, meaning: [foreign(protocolHash)] },
      ...(listHash === undefined ? [] : [{ term: words.list, meaning: [foreign(listHash)] }]),
    ],
  }
}
