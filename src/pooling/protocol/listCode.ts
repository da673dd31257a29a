import { scryptSync } from 'node:crypto'
import type { List } from './messages.js'

/** Digits of the code, in groups for reading aloud. */
const digits = 24
const groupsOf = 4

/**
 * The code that two practices compare in a call: 24 digits that only this list gives. It is made slow on purpose (scrypt,
 * N = 2¹⁵), so that nobody can search for another list with the same code.
 *
 * @param hash hash of the list
 * @returns six groups of four digits
 */
export function listCode(hash: string): string {
  const bytes = scryptSync(hash, 'holdfast-code-of-a-list', 32, {
    N: 32_768,
    r: 8,
    p: 1,
    maxmem: 64 * 1024 * 1024,
  })
  const code = (BigInt(`0x${bytes.toString('hex')}`) % 10n ** BigInt(digits)).toString().padStart(digits, '0')
  return code.match(new RegExp(`.{${groupsOf}}`, 'g'))!.join(' ')
}

/**
 * Name of the practice that a practice calls: the next one of the list, after the last the first. So the calls go round
 * the whole list: whoever gives two lists with the same names to two parts of a group is found out by one of the calls.
 */
export function practiceToCall({ sites }: List, identity: string): string {
  const at = sites.findIndex((site) => site.identity === identity)
  return sites[(at + 1) % sites.length]!.name
}
