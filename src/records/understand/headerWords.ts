/** Header in lower case without accents, words set apart by single spaces. */
export function headerWords(header: string): string {
  return header
    .replace(/#|№|\bn[º°]/giu, ' no ')
    .replace(/([a-zß-ÿ])([A-Z])/g, '$1 $2')
    .toLowerCase()
    .replace(/ß/g, 'ss')
    .normalize('NFD')
    .replace(/\p{M}+/gu, '')
    .replace(/[^\p{L}\p{N}]+/gu, ' ')
    .trim()
}
