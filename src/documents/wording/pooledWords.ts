import type { MessageCode } from '../../messages/message.js'
import { speaker } from '../../messages/speaker.js'

/** Messages of the report of a study group and of the page of one practice that are labels, without parameters. */
type PooledCode = Extract<MessageCode, `pooled.${string}`>

/** A label of the report of a study group, which is written in English. */
export function pooledText(code: PooledCode): string {
  return speaker().text({ kind: 'message', code, parameters: {} })
}
