/** Check digits and structures of published numbers, so that a plain number is not taken for one of them. */

/** NHS numbers carry a check digit modulo 11. */
export function isNhsNumber(value: string): boolean {
  const digits = value.replace(/\D/g, '')
  if (digits.length !== 10 || /^(\d)\1{9}$/.test(digits)) return false
  let sum = 0
  for (let place = 0; place < 9; place++) sum += Number(digits[place]) * (10 - place)
  const check = (11 - (sum % 11)) % 11
  return check !== 10 && check === Number(digits[9])
}

/** Spanish identity numbers of citizens and foreigners: the letter follows from the digits modulo 23. */
export function isSpanishIdentity(value: string): boolean {
  const found = /^([XYZ]?)-?(\d{7,8})-?([A-Z])$/i.exec(value)
  if (found === null) return false
  const lead = found[1] === '' ? '' : String('XYZ'.indexOf(found[1]!.toUpperCase()))
  const digits = lead + found[2]!
  return digits.length === 8 && 'TRWAGMYFPDXBNJZSQVHLCKE'[Number(digits) % 23] === found[3]!.toUpperCase()
}

/** Bank account numbers (ISO 13616): 1 modulo 97 with the first four signs at the end. */
export function isIban(value: string): boolean {
  const bare = value.replace(/\s/g, '').toUpperCase()
  if (!/^[A-Z]{2}\d{2}[A-Z0-9]{11,30}$/.test(bare)) return false
  const moved = bare.slice(4) + bare.slice(0, 4)
  let rest = 0
  for (const sign of moved) rest = Number(`${rest}${Number.parseInt(sign, 36)}`) % 97
  return rest === 1
}

/** Payment cards (ISO/IEC 7812): the check digit of Luhn. */
export function isPaymentCard(value: string): boolean {
  const digits = value.replace(/\D/g, '')
  if (!/^[2-6]\d{13,15}$/.test(digits)) return false
  let sum = 0
  for (let place = 0; place < digits.length; place++) {
    const digit = Number(digits[digits.length - 1 - place]) * (place % 2 === 0 ? 1 : 2)
    sum += digit > 9 ? digit - 9 : digit
  }
  return sum % 10 === 0
}

/** Addresses of the internet, version 4 and 6. */
export function isIpAddress(value: string): boolean {
  const parts = /^(\d{1,3})\.(\d{1,3})\.(\d{1,3})\.(\d{1,3})$/.exec(value)
  if (parts !== null) return parts.slice(1, 5).every((part) => Number(part) <= 255)
  if (!/^[0-9a-f:]+$/i.test(value) || !value.includes(':')) return false
  const groups = value.split(':')
  if (groups.some((group) => group.length > 4)) return false
  return value.includes('::') ? groups.length <= 8 && /[0-9a-f]{2}/i.test(value) : groups.length === 8
}
