/**
 * Names of the months in English, German, French, Spanish, Portuguese and Italian, in full and as usually cut, without
 * accents. No name stands for two months.
 */
const monthWords: readonly string[] = [
  'january|jan|januar|janner|jaen|janvier|janv|enero|ene|janeiro|gennaio|gen',
  'february|feb|februar|feber|fevrier|fevr|fev|febrero|fevereiro|febbraio|febb',
  'march|mar|marz|maerz|mrz|mars|marzo|marco',
  'april|apr|avril|avr|abril|abr|aprile',
  'may|mai|mayo|maio|maggio|mag',
  'june|jun|juni|juin|junio|junho|giugno|giu',
  'july|jul|juli|juillet|juil|julio|julho|luglio|lug',
  'august|aug|aout|aou|agosto|ago',
  'september|sept|sep|septembre|septiembre|setembro|set|settembre|sett',
  'october|oct|oktober|okt|octobre|octubre|outubro|out|ottobre|ott',
  'november|nov|novembre|noviembre|novembro',
  'december|dec|dezember|dez|decembre|diciembre|dic|dezembro|dicembre',
]

const monthOfWord = new Map(
  monthWords.flatMap((words, index) => words.split('|').map((word) => [word, index + 1] as const)),
)

/** Month of a word, 1 to 12, or undefined where it is none. */
export function monthOfName(word: string): number | undefined {
  const plain = word
    .toLowerCase()
    .normalize('NFD')
    .replace(/\p{M}+/gu, '')
    .replace(/\.$/, '')
  return monthOfWord.get(plain)
}
