import {
  createPrivateKey,
  createPublicKey,
  diffieHellman,
  generateKeyPairSync,
  type KeyObject,
  sign,
  verify,
} from 'node:crypto'
import { sha256, stableJson } from '../../core/plain.js'

/** Keys of one kind as base64 texts (DER: PKCS 8 and SPKI). */
export interface KeyTexts {
  readonly secret: string
  readonly open: string
}

/** New keys: Ed25519 to sign, X25519 to agree on masks. */
export function newKeys(kind: 'ed25519' | 'x25519'): KeyTexts {
  const pair = kind === 'ed25519' ? generateKeyPairSync('ed25519') : generateKeyPairSync('x25519')
  return {
    secret: pair.privateKey.export({ type: 'pkcs8', format: 'der' }).toString('base64'),
    open: pair.publicKey.export({ type: 'spki', format: 'der' }).toString('base64'),
  }
}

/** A secret key from its text. */
export function secretKey(text: string): KeyObject {
  return createPrivateKey({ key: Buffer.from(text, 'base64'), type: 'pkcs8', format: 'der' })
}

/** An open key from its text. */
export function openKey(text: string): KeyObject {
  return createPublicKey({ key: Buffer.from(text, 'base64'), type: 'spki', format: 'der' })
}

/** Whether a text is an open key of a kind. */
export function isOpenKey(text: string, kind: 'ed25519' | 'x25519'): boolean {
  try {
    const key = openKey(text)
    const again = key.export({ type: 'spki', format: 'der' }).toString('base64')
    return key.asymmetricKeyType === kind && again === text && (kind === 'ed25519' || canAgree(key))
  } catch {
    return false
  }
}

/**
 * Whether a secret can be agreed on with an X25519 key: points of low order give none, and a key whose unused highest
 * bit is set is the twin of another key, with the same secrets.
 */
function canAgree(publicKey: KeyObject): boolean {
  const bytes = publicKey.export({ type: 'spki', format: 'der' })
  if ((bytes.at(-1)! & 0x80) !== 0) return false
  diffieHellman({ privateKey: generateKeyPairSync('x25519').privateKey, publicKey })
  return true
}

/** Content with the signature of whoever made it. */
export type Signed<Content extends object> = Content & { readonly signature: string }

/** Signs content (Ed25519) in the one form that its keys in alphabetical order give. */
export function signed<Content extends object>(content: Content, secret: string): Signed<Content> {
  const signature = sign(null, Buffer.from(stableJson(content)), secretKey(secret)).toString('base64')
  return { ...content, signature }
}

/** Whether content carries the signature of an open key. */
export function isSignedBy(message: Signed<object>, open: string): boolean {
  const { signature, ...content } = message
  try {
    const bytes = Buffer.from(signature, 'base64')
    // The last letter has bits that no byte uses: two texts of one signature would give two hashes of one message.
    if (bytes.toString('base64') !== signature) return false
    return verify(null, Buffer.from(stableJson(content)), openKey(open), bytes)
  } catch {
    return false
  }
}

/** Hash by which a message is named in others. */
export function messageHash(message: object): string {
  return sha256(stableJson(message))
}
