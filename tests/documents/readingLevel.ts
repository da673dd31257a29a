/**
 * Reading ease on the scale of Flesch (0 hard, 100 easy; 60 to 70 is plain), by the constants of each language:
 * English, Flesch 1948, J Appl Psychol 32:221–233; German, Amstad 1978 (Wie verständlich sind unsere Zeitungen?);
 * Spanish, Szigriszt Pazos 1993 (as Barrio-Cantalejo 2008 uses it for texts for patients); French, Kandel and Moles 1958.
 * The constants were set down from memory of these works.
 */
const constants: Readonly<Record<string, { base: number; sentence: number; syllable: number }>> = {
  en: { base: 206.835, sentence: 1.015, syllable: 84.6 },
  de: { base: 180, sentence: 1, syllable: 58.5 },
  es: { base: 206.835, sentence: 1, syllable: 62.3 },
  fr: { base: 207, sentence: 1.015, syllable: 73.6 },
}

/** Syllables as groups of vowels; a mute e at the end of English and French words is none. */
function syllables(word: string, language: string): number {
  const plain = word.toLowerCase()
  const groups =
    language === 'es'
      ? plain.replace(/([aeoáéíóú])(?=[aeoáéíóú])/g, '$1-').match(/[aeiouáéíóúü]+/g)
      : plain.match(/[aeiouyàâäéèêëîïôöùûüœ]+/g)
  const count = groups?.length ?? 1
  const mute =
    (language === 'en' &&
      /[^aeiouy]e(?:s|d)?$/.test(plain) &&
      !/[^aeiouy]le$|[td]ed$|[sxz]es$/.test(plain)) ||
    (language === 'fr' && /[^aeiouyéè](?:es?|ent)$/.test(plain))
  return Math.max(1, count - (mute ? 1 : 0))
}

/** Reading ease of sentences in a language. */
export function readingEase(sentences: readonly string[], language: string): number {
  const words = sentences.flatMap((one) => one.match(/\p{L}[\p{L}’'-]*/gu) ?? [])
  const spoken = words.reduce((sum, word) => sum + syllables(word, language), 0)
  const { base, sentence, syllable } = constants[language]!
  return base - sentence * (words.length / sentences.length) - syllable * (spoken / words.length)
}

/** Sentences of running text. */
export function sentencesIn(text: string): readonly string[] {
  return text
    .split(/(?<=[.!?:])\s+(?=[\p{Lu}¿¡])/u)
    .map((one) => one.trim())
    .filter((one) => /\p{L}{2}/u.test(one))
}
