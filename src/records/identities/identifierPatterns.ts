import { isIban, isIpAddress, isNhsNumber, isPaymentCard, isSpanishIdentity } from './identifierChecks.js'
import type { GateVerdict } from './identifierHeaders.js'
import { withoutAccentsToo } from './personNames.js'
import { hasPlainEnding, isTradeWord } from './tradeWords.js'

/** One way in which an identifier is written, wherever it stands in a text. */
export interface IdentifierPattern {
  readonly kind: string
  readonly verdict: GateVerdict
  /** So many digits at least are in a text that holds it; default 0. */
  readonly digits?: number
  readonly found: (text: string) => boolean
}

const start = '(?<![\\p{L}\\d])'
const end = '(?![\\p{L}\\d])'

/** A pattern that begins and ends with a word, in either letter case where it says so. */
function words(pattern: string, flags = 'u'): (text: string) => boolean {
  const made = new RegExp(`${start}(?:${pattern})${end}`, flags)
  return (text) => made.test(text)
}

function matching(pattern: RegExp): (text: string) => boolean {
  return (text) => pattern.test(text)
}

function anyOf(...ways: readonly ((text: string) => boolean)[]): (text: string) => boolean {
  return (text) => ways.some((found) => found(text))
}

/** A pattern whose finds are checked one by one. */
function checked(
  pattern: string,
  check: (found: string) => boolean,
  flags = 'gu',
): (text: string) => boolean {
  const made = new RegExp(`${start}(?:${pattern})${end}`, flags)
  return (text) => [...text.matchAll(made)].some(([found]) => check(found))
}

const number = '(?:\\s?(?:no|nr|num|number|nummer|n[º°o]|n\\.?\\s?[º°]|n|id|#)\\.?)?[\\s:.=#º°-]+'
/** A number with letters before it, or set apart by strokes and spaces: at least four digits in all. */
const someNumber = '(?=[\\p{L}\\d./ -]*\\d)(?:[A-Z]{0,6}[-/ ]?\\d[\\dA-Z]*(?:[-/. ]\\d[\\dA-Z]*)*[A-Z]?)'

/** A word that announces a number, and a number of so many digits or more. */
function announced(cue: string, digits = 4): (text: string) => boolean {
  const made = new RegExp(`${start}(?:${withoutAccentsToo(cue)})${number}(${someNumber})`, 'giu')
  // A code of one piece is a pseudonym of somebody's own, whatever its letters are.
  return (text) =>
    (!/^[\p{L}\d_/-]+$/u.test(text) || /^(?:mrn|ssn|nhs)-?\d/iu.test(text)) &&
    [...text.matchAll(made)].some(([, found]) => (found!.match(/\d/g) ?? []).length >= digits)
}

const monthWord =
  '(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec|mär|mai|okt|dez|janv|févr|fév|avr|juin|juil|août|déc|ene|abr|ago|dic|gen|mag|giu|lug|set|ott|fev|out)\\p{L}*\\.?'
const dayOfBirth = `(?:\\d{1,2}[./ -]{1,2}\\d{1,2}[./ -]{1,2}\\d{2,4}|\\d{4}[-./]?\\d{2}[-./]?\\d{2}|(?:the )?\\d{1,2}(?:\\.|º|st|nd|rd|th|er)?(?:[ -](?:de|of))?[ -]?${monthWord}(?:(?:[ -]de)?[ -]\\d{2,4})?|${monthWord}(?:[ -]de)?[ -]\\d{1,2}(?:st|nd|rd|th)?,?(?: \\d{4})?|${monthWord}(?: de)? \\d{4}|(?:19|20)\\d{2})`

/** Words that announce when somebody was born, in the six languages and those that one of their letters tells apart. */
const birthWords = [
  'd\\.?o\\.?b\\.?|b\\.|b(?:irth)? ?day|birth ?date|(?:date|year|place and date) of birth|born',
  'geb\\.?|geb\\.?-?dat(?:um|\\.)?|geb(?:urtsdatum|urtstag|oren|oortedatum|\\.-?tag)|jahrgang|jg\\.',
  'n[ée]{1,2}(?:\\(e\\))?|date de naissance|ddn|d\\.d\\.n\\.|naiss(?:ance|\\.)?|anniversaire',
  'nac(?:id[oa]|i[óo]|\\.)?|(?:fecha de )?nacimiento|f(?:echa|\\.)? ?n(?:ac)?\\.?|fnac|f\\.n\\.|cumpleaños',
  'nat[oa]|(?:data di )?nascita|compleanno|n\\.|d\\.n\\.',
  'nasc(?:id[oa]|eu|\\.)?|(?:(?:data|dt\\.?|d\\.) (?:de )?)?nasc(?:imento|\\.)?|aniversário|d\\.?n\\.?',
  'ur\\.|urodz\\p{L}*|narozen[ýáa]?|født|född|fødselsdato|födelsedatum|syntynyt|syntymäaika|doğum(?: tarihi)?|született|născut[ăa]?|rođen[ao]?',
].join('|')

/** What has a number of its own that tells nothing of a person. */
const ownNumbers =
  /^(?:art(?:ikel|icle|\.)?|cat(?:alog(?:ue)?|\.)?|katalog|ref(?:er[eê]n[cz]i?a)?|bestell|order|tooth|zahn|dent|diente|dente|size|größe|visit|screw|schraube|vis|implant(?:at)?|shade|farbe|regio|torque|version|model|modell|teile?|part|pos(?:ition)?|lfd|seite|page)[.-]*$/iu

/** Any word with "no." behind it, or with its own ending for it, and a number of four digits or more. */
function numbered(): (text: string) => boolean {
  const made =
    /(?<![\p{L}\d])(\p{L}[\p{L}.-]*?)(?:[\s.-]*(?:nr|no|nº|n°|n\.º|num|núm|número|numero|numéro|number|nummer|číslo|id)(?![\p{L}])[.:]*|nr\.?|nummer|karty)[\s:#]+([A-Z]{0,4}[-/]?\d[\dA-Z./-]{3,})/giu
  // An abbreviation in capitals before a number that is longer than any measure.
  const abbreviated =
    /(?<![\p{L}\d])(?!(?:ISO|EN|DIN|ISQ|RPM|REF|ART|UDI|VAS)\b)[A-Z]{2,5}[.:]?\s(?=[\d. /-]*\d{5})(?:\d[. /-]?){8,}/u
  const further =
    /(?<![\p{L}\d])(?:number|nummer|número|numero|numéro|nr\.|no\.)\s(?:\p{Ll}+\s){1,3}(?:[A-Z]{0,3}[-/]?\d[\d/-]{3,})/iu
  return (text) =>
    abbreviated.test(text) ||
    further.test(text) ||
    [...text.matchAll(made)].some(
      ([, word, found]) => !ownNumbers.test(word!) && (found!.match(/\d/g) ?? []).length >= 4,
    )
}

const isFiveDigits = /\d{4,5}/

function isPlaceName(found: string): boolean {
  const word = found.split(/\s+/).find((part) => /^\p{Lu}\p{L}+/u.test(part))
  return (
    word !== undefined &&
    isFiveDigits.test(found) &&
    !isTradeWord(word) &&
    (!hasPlainEnding(word) || /\s\p{Lu}\p{L}+$/u.test(found.slice(found.indexOf(word) + word.length))) &&
    !/^(?:Ncm|Nm|RPM|Euro|Uhr)$/.test(word)
  )
}

/** The last word of a postcode with its place. */
function isPlace(found: string): boolean {
  const word = /\p{Lu}\p{Ll}+$/u.exec(found)![0]
  return !isTradeWord(word) && !hasPlainEnding(word)
}

const road = [
  "\\d+[a-z]?,?\\s(?:\\p{Lu}[\\p{L}'’.-]*\\s){1,3}(?:street|st|road|rd|avenue|ave|lane|ln|drive|close|court|way|place|boulevard|blvd|crescent|terrace|gardens|grove|square|hill|row|mews|walk|green|park|view|rise|highway|hwy|parkway|circle|trail)",
  '(?:an? de[rnm]|hinterm|hinter de[rm]|am|im|auf de[rnm]|zu[rm]|unter de[rnm])\\s\\p{Lu}\\p{L}+(?:\\s\\p{Lu}\\p{L}+)?\\s\\d+\\s?[a-z]?',
  '\\p{Lu}[\\p{L}.-]*(?:straße|strasse|str\\.?|weg|platz|allee|gasse|ring|damm|ufer|chaussee|steig|pfad|graben)\\s?\\d{1,3}\\s?[a-z]?(?!\\d)',
  '\\p{Lu}\\p{L}+\\s(?:str\\.?|straße|strasse|platz|weg|gasse|allee)\\s\\d{1,3}\\s?[a-z]?',
  '(?:in der|in die|an der|nr\\.?\\s\\d+\\s(?:in der|an der)?)\\s?\\p{Lu}\\p{L}+(?:straße|strasse|gasse|allee)',
  "(?:\\d+(?:\\s?(?:bis|ter))?[a-z]?,?\\s)(?:rue|avenue|av\\.|boulevard|bd|place|chemin|impasse|allée|quai|route|cours|square)\\s\\p{L}[\\p{L}\\s'’.-]*",
  "(?:rue|avenue|boulevard|chemin|impasse|allée|quai|route)\\s(?:de\\s|du\\s|des\\s|de la\\s|de l['’])?\\p{Lu}[\\p{L}\\s'’.-]*,?\\s?\\d+",
  "(?:calle|c/|avenida|avda?\\.?|av\\.|paseo|p[ºo]\\.?|plaza|pza\\.?|ronda|carretera|ctra\\.?|carr\\.|camino|travesía|trav\\.)\\s?(?:de\\s|del\\s|de la\\s|de los\\s)?\\p{Lu}[\\p{L}\\s'’.-]*,?\\s?(?:n[º°.]?\\s?)?\\d+",
  "(?:via|viale|v\\.le|piazza|p\\.za|corso|c\\.so|vicolo|largo|strada|piazzale)\\s(?:d[aei]l?l?[aeo]?i?\\s|dell['’])?[\\p{L}][\\p{L}\\s'’.-]*,?\\s?(?:n\\.?\\s?)?\\d+",
  "(?:rua|r\\.|travessa|praça|largo|alameda|estrada|rodovia|beco|avenida|av\\.|calle|via|rue)\\s(?:\\d{1,2}\\s)?(?:d[aeo]s?\\s)?\\p{Lu}[\\p{L}\\s'’.-]*,?\\s?(?:n[º°.]?\\s?)?\\d+",
  '\\p{Lu}[\\p{L}.-]*(?:straat|gracht|laan|plein|kade|dijk|singel|gatan|gata|vägen|veien|vegen|vej|gade|allé|alle|katu|tie|utca|utja)\\.?\\s?\\d+\\s?[a-z]?',
  '\\p{Lu}[\\p{L}.-]*(?:\\s\\p{Lu}[\\p{L}.-]*)?\\s(?:caddesi|cad\\.|sokak|sok\\.|bulvarı|utca|út|ulice|street|road|avenue|lane)\\s(?:no:?\\s?)?\\d+',
  "(?:ul\\.|ulica|aleja|al\\.|odos|str\\.|bd\\.|calea|lungomare|contrada|loc(?:alità|\\.)|lieu-dit|urb(?:anización|\\.)|polígono|barrio|bairro|quinta|sítio|vila|résidence|résid\\.|lotissement|zona|km)\\s\\p{Lu}[\\p{L}\\s'’.-]*,?\\s?(?:n[º°.]?\\s?|bloco\\s|bl\\.?\\s|lote\\s|bât\\.?\\s|km\\s)?(?:\\d+|[A-Z](?![\\p{L}]))",
  '\\d+[a-z]?,?\\s(?:[NSEW]\\.?\\s)?(?:\\d+(?:st|nd|rd|th)|\\p{Lu}\\p{L}+)\\s(?:st|ave|rd|blvd|dr|ln)\\.?',
  '\\d+[a-z]?,?\\s\\p{Lu}\\p{L}{2,}(?:way|gate|croft|wharf|quay|side|yard|field|fields|wood|bank|broadway)',
  '(?:flat|apartment|apt\\.?|appt\\.?|suite|unit|house|cottage|\\d+(?:st|nd|rd|th) floor|\\d\\. stock|ático|interno|haus)\\s?\\d*[a-z]?,\\s(?:\\d+[a-z]?\\s)?\\p{Lu}\\p{L}+',
  '(?:rural route|rr|county road|highway|route|carretera|strada statale|bundesstraße)\\s[A-Z]?\\d+,?\\s(?:box|km|n\\.?)\\s?\\d+',
].join('|')

/** A house that has a name in place of a number, on a road that has one. */
const namedHouse =
  /\p{Lu}\p{L}+(?:\s(?:Old|New|\p{Lu}\p{L}+))?(?:\s(?:House|Cottage|Rectory|Farm|Lodge|Manor|Mill|Villa|Court|Hall|Barn))?,\s(?:\p{Lu}\p{L}+\s){1,2}(?:Lane|Road|Street|Avenue|Hill|Green|Close|Drive|Row|Walk)(?!\p{L})/u

const residence =
  "(?:(?:lives|living|resides|moved|moving) (?:in|at|to|near)|resident (?:of|in)|wohnt (?:in|bei|am)|wohnhaft in|wohnort|umgezogen nach|verzogen nach|habite (?:à|au|aux)|domiciliée? à|déménagée? à|vive en|reside en|se mudó a|vecin[oa] de|abita (?:a|in)|residente (?:a|in|em)|trasferit[oa] a|mora em|vive em|reside em|mudou-se para)\\s+(?:the\\s)?(\\p{Lu}[\\p{L}'’-]+)"

const plates = [
  '[A-Z]{2}\\d{2} ?[A-Z]{3}',
  '[A-ZÄÖÜ]{1,3}-[A-ZÄÖÜ]{1,2} ?\\d{1,4}[EH]?',
  '[A-HJ-NP-TV-Z]{2}-\\d{3}-[A-HJ-NP-TV-Z]{2}',
  '\\d{4}[ -]?(?!RPM)[BCDFGHJKLMNPRSTVWXYZ]{3}',
  '[A-Z]{2} ?\\d{3} ?[A-Z]{2}',
  '\\d{2}-[A-Z]{2}-\\d{2}|[A-Z]{2}-\\d{2}-\\d{2}|\\d{2}-\\d{2}-[A-Z]{2}|[A-Z]{2}-\\d{2}-[A-Z]{2}',
  '[A-Z]{3}\\d[A-Z]\\d{2}',
].join('|')
const plateWord =
  '(?:car|auto|wagen|fahrzeug|voiture|véhicule|vehicle|carro|coche|vehículo|macchina|veicolo|veículo|parked|parkt|taxi|nummernschild|kontrollschild|kennz\\.|(?:kfz-)kennz\\.|kenteken|rej\\.?|rejestracja|reg\\.?-?(?:nr|skylt)|reg(?:istration)?|car reg|number plate|licen[cs]e plate|plate|kennzeichen|kfz|immatriculation|plaque|matrícula|targa|placa|matricula)'

const ukPostcode = 'GIR 0AA|[A-PR-UWYZ][A-HK-Y]?\\d[A-HJKPSTUW\\d]? \\d[ABD-HJLNP-UW-Z]{2}'

const callWords =
  '(?:tel|telefon|telephone|téléphone|teléfono|telefono|telefone|tlf|tfno|tfn|tlm|phone|ph|fon|fax|mob|mobile|cell|cel|celular|cellulare|handy|mobil|móvil|movil|telemóvel|portable|whatsapp|ring|call|fono|ruf|rufnummer|durchwahl|landline|festnetz|fixe|fijo|fisso|privat|dienstlich|notfallnummer|recapito|contato|gsm|natel|sms|joindre|erreichbar|contact)'

/** Telephone numbers as they are written; a wait, a torque or a position has fewer digits. */
const telephones: readonly string[] = [
  '(?:\\+|00)[1-9]\\d{0,2}[\\s./-]?(?:\\(0\\)[\\s-]?)?\\(?\\d[\\d\\s()./-]{6,14}\\d',
  '\\(\\d{2,5}\\)[\\s/-]?\\d{2,5}[\\s.-]?\\d{2,5}(?:[\\s.-]?\\d{2,4})?',
  '1?[-. ]?[2-9]\\d{2}[-. ]\\d{3}[-. ]\\d{4}',
  '1-\\d{3}-\\d{3}-\\d{4}',
  '0\\d(?:[ .-]\\d{2}){4}',
  '0\\d{1,5}[ /-]\\d{2,4}[ -]?\\d{2,5}(?:[ -]?\\d{2,4})?',
  '0[1-9]\\d{8,10}',
  '2[1-9] \\d{3} \\d{4}|[6789]\\d{2} \\d{3} \\d{3}|9\\d \\d{3} \\d{2} \\d{2}|[6789]\\d{2}(?: \\d{2}){3}',
  '3\\d{2}[ .-]?\\d{6,7}|3\\d{2} \\d{3} \\d{4}',
  '\\d{2} 9\\d{4}-\\d{4}|9\\d{4}-\\d{4}',
]

function hasEnoughDigits(found: string): boolean {
  const digits = found.replace(/\D/g, '')
  return digits.length >= 8 && digits.length <= 15 && !isCompactDate(digits)
}

function isCompactDate(digits: string): boolean {
  return /^(?:19|20)\d{2}(?:0[1-9]|1[0-2])(?:0[1-9]|[12]\d|3[01])(?:\d{4}|\d{6})?$/.test(digits)
}

const netNames =
  '(?:com|org|net|edu|gov|info|biz|io|me|eu|de|at|ch|fr|be|es|mx|it|pt|br|uk|ie|us|ca|au|nl|example|test|online|health|dental|clinic)'

/** Every way in which identifiers are written in a text, the sure ones first. */
export const identifierPatterns: readonly IdentifierPattern[] = [
  {
    kind: 'an e-mail address',
    verdict: 'definite',
    found: (text) =>
      /[^\s@<>]+(?:\s?@\s?|\s?\(at\)\s?|\s?\[at\]\s?)[^\s@]+\s?(?:\.|\[dot\]|\(dot\))\s?\p{L}{2,}/u.test(
        text,
      ) || /\S+\s(?:AT|at)\s\S+\s(?:DOT|dot|punkt|punto|point|ponto)\s\p{L}{2,}/u.test(text),
  },
  {
    kind: 'a web address',
    verdict: 'definite',
    found: anyOf(
      matching(/\b(?:https?|ftp):\/\/|\bwww\.[^\s]+\.[a-z]{2,}/i),
      matching(
        new RegExp(
          `(?<![\\p{L}\\d.@])(?:(?:[a-z0-9-]{3,}\\.)+${netNames}(?:/\\S*|(?![\\p{L}\\d.-]))|[a-z0-9-]{2,}\\.${netNames}/\\S{3,})`,
          'iu',
        ),
      ),
      matching(/(?:^|[\s(:])@[a-z][\w.]{3,}/i),
    ),
  },
  { kind: 'an IP address', verdict: 'definite', found: checked('[0-9a-f:.]{7,45}', isIpWithPort, 'giu') },
  {
    kind: 'a network card address',
    verdict: 'definite',
    found: words('(?:[0-9a-f]{2}[:-]){5}[0-9a-f]{2}', 'iu'),
  },
  { kind: 'a bank account number', verdict: 'definite', digits: 10, found: (text) => hasIban(text) },
  {
    kind: 'a payment card number',
    verdict: 'definite',
    digits: 13,
    found: checked(
      '\\d{4}([ -])(?:\\d{4}\\1\\d{4}\\1\\d{2,4}|\\d{6}\\1\\d{5})|[3-6]\\d{13,15}',
      isPaymentCard,
      'gu',
    ),
  },
  {
    kind: 'an NHS number',
    verdict: 'definite',
    digits: 10,
    found: checked('\\d{3}[ -]\\d{3}[ -]\\d{4}|\\d{10}', isNhsNumber),
  },
  {
    kind: 'a social security number',
    verdict: 'definite',
    digits: 9,
    found: words('(?!000|666|9)\\d{3}[- ](?!00)\\d{2}[- ](?!0000)\\d{4}'),
  },
  {
    kind: 'a national insurance number',
    verdict: 'definite',
    digits: 6,
    found: words(
      '(?!BG|GB|NK|KN|TN|NT|ZZ)(?:QQ|[A-CEGHJ-PR-TW-Z][A-CEGHJ-NPR-TW-Z]) ?\\d{2} ?\\d{2} ?\\d{2} ?[A-D]',
    ),
  },
  {
    kind: 'a tax or identity number',
    verdict: 'definite',
    digits: 5,
    found: checked('[XYZ]?-?\\d{7,8}-?[A-Z]', isSpanishIdentity, 'giu'),
  },
  {
    kind: 'a tax or identity number',
    verdict: 'definite',
    digits: 5,
    found: words(
      '[A-Z]{6}\\d{2}[A-EHLMPRST]\\d{2}[A-Z]\\d{3}[A-Z]|\\d{3}\\.\\d{3}\\.\\d{3}-\\d{2}|756\\.\\d{4}\\.\\d{4}\\.\\d{2}|[12] ?\\d{2} ?(?:0[1-9]|1[0-2]|[2-9]\\d) ?(?:\\d{2}|2[AB]) ?\\d{3} ?\\d{3}(?: ?\\d{2})?|\\d{1,2}\\.\\d{3}\\.\\d{3}-[\\dX]|\\d{2}/\\d{8}/\\d{2}|\\d{2} ?\\d{6} ?[A-Z] ?\\d{3}|\\d{4} (?:0[1-9]|[12]\\d|3[01])(?:0[1-9]|1[0-2])\\d{2}|[1-9][ACDEFGHJKMNPQRTUVWXY][ACDEFGHJKMNPQRTUVWXY\\d]\\d-?[ACDEFGHJKMNPQRTUVWXY][ACDEFGHJKMNPQRTUVWXY\\d]\\d-?[ACDEFGHJKMNPQRTUVWXY]{2}\\d{2}|[A-Z]\\d{9}|[12789]\\d{2} \\d{4} \\d{4} \\d{4}',
      'iu',
    ),
  },
  {
    kind: 'a national, insurance or licence number',
    verdict: 'definite',
    digits: 3,
    found: announced(
      "nhs|ssn|social security|national insurance|ni|nino|medicare|medicaid|member(?:ship)?|subscriber|insurance|insured|policy|health plan|plan|beneficiary|passport|id card|identity card|(?:driver'?s?|driving) licen[cs]e|licen[cs]e|tax|versicherten?|versicherungs?|vers\\.?-?|krankenkassen?|krankenversicherten|kv|kvnr|svnr|sv|sozialversicherungs?|rentenversicherungs?|ahv|ausweis|personalausweis|reisepass|pass|führerschein|steuer|steuer-?id|sécu|sécurité sociale|nir|assurée?|d['’]assurée?|assurance|mutuelle|carte vitale|adhérent|passeport|permis|dni|nie|nif|nuss|afiliación|afiliado|seguridad social|póliza|asegurado|tarjeta(?: sanitaria)?|pasaporte|seguro|cod(?:ice)?\\.? fiscale|tessera(?: sanitaria)?|polizza|assicurazione|passaporto|patente|carta d['’]identità|niss|utente|de utente|cpf|rg|cns|sus|cartão(?: sus| de cidadão| cidadão)?|contribuinte|apólice|convênio|carteirinha|passaporte|bilhete de identidade|cc|pps|rfc|curp|inss|cédula|rut|cuit|bsn|pesel|personnummer|cpr|hetu|rodné číslo|cnp|taj|kimlik|amka|aadhaar|egn|jmbg|oib|insured under|vers\\.|mitglieds?-?|health card",
      5,
    ),
  },
  {
    kind: 'a national, insurance or licence number',
    verdict: 'definite',
    digits: 3,
    found: words(
      "(?:(?:driving|driver'?s?) licen[cs]e|licen[cs]e|tarjeta(?: sanitaria)?|passport|reisepass|pasaporte|passeport|passaporto?e?|rfc|curp|pps|ausweis(?:nr)?|ausweisnr|versichertennr|codice fiscale|cod\\. fiscale|permis)\\.?:?\\s(?:no\\.?\\s)?(?=\\p{L}*\\d)[A-Z0-9]{5,20}(?:\\s?[A-Z0-9]{2,})?",
      'iu',
    ),
  },
  {
    kind: 'a record or chart number',
    verdict: 'definite',
    digits: 4,
    found: announced(
      'chart|karty|mrn|id (?:paz|pac|pat)\\.?|(?:patient|paciente|paziente|pat\\.?) ref|filed under|our ref|your ref|unser zeichen|az|unit|case|registro|registo|hosp\\.|(?:medical|dental|health|hospital|clinical) record|record|hospital|patient|pt|pat\\.?-?|patienten|patientin|file|case (?:file|record)|kartei-?|karteikarte|karten|akte|aktenzeichen|fall-?|\\p{L}*(?:akte|kartei|karteikarte)|dossier|de dossier|ipp|historia(?: clínica)?|de historia|hª|nhc|hc|h\\.c\\.|expediente|paciente|paziente|cartella(?: clinica)?|scheda|pratica|prontuário|processo(?: clínico)?|de processo|ficha(?: clínica)?|journal|nosologico|fiche|ehr|emr',
      4,
    ),
  },
  { kind: 'a number of a person, a record or a contract', verdict: 'possible', digits: 4, found: numbered() },
  {
    kind: 'an account number',
    verdict: 'definite',
    digits: 5,
    found: announced(
      'account|acct|a/c|sort code|bank|konto-?|kontonr|blz|compte|de compte|rib|kreditkarte|credit card|carte de crédit|carte bancaire|tarjeta de crédito|carta di credito|cartão de crédito|cuenta|cta|conto(?: corrente)?|c/c|conta(?: corrente| poupança)?|agência|iban',
      5,
    ),
  },
  {
    kind: 'a device identifier',
    verdict: 'definite',
    digits: 16,
    found: (text) => /\(01\)\d{14}/.test(text) || /(?<!\d)01\d{14}(?:1[017]\d{6}|10|21)/.test(text),
  },
  {
    kind: 'a device identifier',
    verdict: 'definite',
    digits: 4,
    found: anyOf(
      matching(/\((?:10|11|17|21)\)[A-Z\d][A-Z\d-]{2,}/u),
      matching(/(?:^|\s)\+[A-Z]\d{3}[A-Z\d]{6,}/u),
    ),
  },
  {
    kind: 'a serial number of a device',
    verdict: 'definite',
    digits: 3,
    found: announced(
      's/n|sn|serial|ser\\.?-?|serien-?|seriennr|seriennummer|de série|de serie|série|serie|di serie|matricola|udi|udi-di|gtin',
      3,
    ),
  },
  {
    kind: 'the lot of a device',
    verdict: 'possible',
    digits: 3,
    found: announced('lot|batch|charge|chargen-?|ch\\.?-?\\s?b\\.?|lote|lotto|de lot|partie', 3),
  },
  {
    kind: 'a telephone number',
    verdict: 'definite',
    digits: 7,
    found: anyOf(...telephones.map(telephone), calledNumber()),
  },
  { kind: 'a telephone number', verdict: 'possible', digits: 9, found: inGroups() },
  {
    kind: 'a date of birth',
    verdict: 'definite',
    digits: 2,
    found: anyOf(
      matching(
        new RegExp(
          `(?:${start}(?:${withoutAccentsToo(birthWords)})(?:[ :=]+(?:is|ist|war|was|est|es|è|é|am|on|in|im|le|en|el|il|nel|a|em|um|da|dia|den|i \\p{L}+|in \\p{L}+|a \\p{L}+ il)){0,2}|^\\*|\\(yyyy-mm-dd\\))[\\s:=]*${dayOfBirth}`,
          'iu',
        ),
      ),
      matching(
        new RegExp(
          `${start}(?:turns|turned|will be|wird|wurde|aura|cumple|cumplió|compie|compirà|faz|fez)\\s(?:(?:am|on|le|el|il|a|em)\\s)?(?:\\d{2,3}\\s(?:\\p{L}+\\s)?(?:on|am|le|el|il|em)?\\s?)?${dayOfBirth}`,
          'iu',
        ),
      ),
    ),
  },
  {
    kind: 'a date of birth',
    verdict: 'possible',
    digits: 6,
    found: checked('\\d{1,2}[./-]\\d{1,2}[./-](?:19\\d{2})|19\\d{2}-\\d{2}-\\d{2}', isLongAgo),
  },
  { kind: 'a postcode', verdict: 'definite', digits: 1, found: words(ukPostcode) },
  {
    kind: 'a postcode',
    verdict: 'definite',
    digits: 2,
    found: anyOf(
      words(
        '(?:plz|postleitzahl|zip(?: code)?|post ?code|code postal|cp|c\\.p\\.|código postal|cap|c\\.a\\.p\\.|cep|codice postale)[.:]?\\s?(?:[A-Z]-)?\\d{4,5}(?:-\\d{3,4})?',
        'iu',
      ),
      words('[A-Z]{2} \\d{5}(?:-\\d{4})?'),
      words('[ABCEGHJ-NPRSTVXY]\\d[A-Z] \\d[A-Z]\\d'),
    ),
  },
  {
    kind: 'a postcode',
    verdict: 'possible',
    digits: 2,
    found: anyOf(
      checked(
        '(?:[A-Z]{1,2}-)?\\d{4,5} \\p{Lu}\\p{Ll}{2,}(?: (?:de|di|am|an der|a|sur|upon)(?: la)? \\p{Lu}\\p{Ll}+)?',
        isPlaceName,
      ),
      matching(/^(?:\d{5}-\d{4}|\d{4}-\d{3}|\d{5}-\d{3}|\d{4} [A-Z]{2})$/),
      words('\\d{4,5}-\\d{3} \\p{Lu}\\p{L}{2,}'),
      checked(
        '(?:\\d{4} ?[A-Z]{2}|\\d{3} \\d{2}|\\d{2}-\\d{3}|[A-Z]\\d{4}[A-Z]{0,3}) \\p{Lu}\\p{Ll}{2,}',
        isPlace,
      ),
      matching(/^[A-PR-UWYZ][A-HK-Y]?\d[A-HJKPSTUW\d]?\d[ABD-HJLNP-UW-Z]{2}$/),
    ),
  },
  {
    kind: 'a street address',
    verdict: 'definite',
    found: onARoad(),
  },
  {
    kind: 'a street address',
    verdict: 'definite',
    digits: 1,
    found: words(
      '(?:p\\.? ?o\\.? box|postfach|apartado(?: de correos)?|boîte postale|b\\.?p\\.?|casella postale|caixa postal)\\s?\\d{2,}',
      'iu',
    ),
  },
  {
    kind: 'a place where somebody lives',
    verdict: 'possible',
    found: residing(),
  },
  { kind: 'a licence plate', verdict: 'possible', digits: 2, found: plated() },
  {
    kind: 'a vehicle identification number',
    verdict: 'definite',
    digits: 4,
    found: checked('[A-HJ-NPR-Z0-9]{17}', (one) => /[A-Z]/.test(one) && /\d{4}$/.test(one)),
  },
  {
    kind: 'a picture or scan',
    verdict: 'definite',
    found: (text) => /\.(?:jpe?g|png|tiff?|bmp|heic|dcm|stl|ply)(?![\p{L}\d])/iu.test(text),
  },
  {
    kind: 'a number as long as that of a person, a telephone or an account',
    verdict: 'possible',
    digits: 9,
    found: checked('\\d{9,}', (one) => !isCompactDate(one)),
  },
]

/** Implants of this form were not placed before 1975. */
function isLongAgo(found: string): boolean {
  return Number(/19\d{2}/.exec(found)![0]) < 1975
}

function isIpWithPort(found: string): boolean {
  return isIpAddress(found.replace(/[.:]$/, '')) || isIpAddress(found.replace(/:\d{1,5}$/, ''))
}

function telephone(pattern: string): (text: string) => boolean {
  const made = new RegExp(`(?<![\\p{L}\\d.,+-])(?:${pattern})(?![\\d\\p{L}]|[.,]\\d)`, 'gu')
  return (text) => [...text.matchAll(made)].some(([found]) => hasEnoughDigits(found))
}

/** A number behind a word such as "tel": it may be shorter than one that stands alone. */
/** Groups of digits such as a telephone number has: nine to thirteen, at least one group of three, and no years or positions. */
function inGroups(): (text: string) => boolean {
  const made = /(?<![\p{L}\d.,+-])\(?\d{2,5}\)?(?:[ ./-]\d{1,5}){2,5}(?![\d\p{L}]|[.,/-]\d)/gu
  return (text) =>
    [...text.matchAll(made)].some(([found]) => {
      const groups = found.match(/\d+/g)!
      const digits = groups.join('')
      if (digits.length < 9 || digits.length > 13) return false
      const long = groups.filter((group) => group.length >= 3)
      if (long.length === 0) return /^0\d$/.test(groups[0]!)
      return long.some((group) => !/^(?:19|20)\d{2}$/.test(group)) && new Set(groups).size > 2
    })
}

function calledNumber(): (text: string) => boolean {
  const made = new RegExp(
    `${start}(?:${withoutAccentsToo(callWords)})\\b\\.?[^\\d+]{0,12}(\\+?\\(?\\d[\\d\\s()./-]{5,}\\d)`,
    'giu',
  )
  return (text) => [...text.matchAll(made)].some(([, found]) => found!.replace(/\D/g, '').length >= 7)
}

function onARoad(): (text: string) => boolean {
  const made = new RegExp(`${start}(?:${road})(?![\\p{L}])`, 'iu')
  // Every way in which a road is written has a number or a space; most values of a column have neither, and the pattern is large.
  return (text) => /[\d\s]/u.test(text) && ((made.test(text) && isRoad(text)) || namedHouse.test(text))
}

function residing(): (text: string) => boolean {
  const made = new RegExp(`${start}${residence}`, 'giu')
  return (text) =>
    [...text.matchAll(made)].some(([, place]) => /^\p{Lu}/u.test(place!) && !isTradeWord(place!))
}

function hasIban(text: string): boolean {
  const found = text.matchAll(/(?<![\p{L}\d])[A-Z]{2}\d{2}(?: ?[A-Z0-9]{1,4}){3,8}/gu)
  return [...found].some(([one]) => {
    // A word behind the number may have been taken along.
    const parts = one.split(' ')
    return parts.some((_part, index) => isIban(parts.slice(0, parts.length - index).join('')))
  })
}

/** A road has a capital, or its kind is a word of its own: "via 2" and "in 5 way" are none. */
function isRoad(text: string): boolean {
  return /\p{Lu}/u.test(text) || /(?:via|rue|calle|rua)\s\p{L}{3,}/iu.test(text)
}

function plated(): (text: string) => boolean {
  const alone = new RegExp(`^(?:${plates})$`, 'u')
  const named = new RegExp(
    `${start}(?:${withoutAccentsToo(plateWord)})\\.?(?:\\s?(?:no|nr)\\.?)?:?\\s(?=[A-Z0-9 -]*\\d)(?=[A-Z0-9 -]*\\p{Lu})[A-Z0-9ÄÖÜ]{1,7}(?:[ -][A-Z0-9]{1,4}){0,2}`,
    'iu',
  )
  return (text) => alone.test(text) || (named.test(text) && /[A-Z]{1,3}[ -]?\d|\d[ -]?[A-Z]/.test(text))
}

/** Anything short and of one piece that one of the patterns could find; whatever else is of one piece is a code. */
export const mayBeShortIdentifier = new RegExp(
  `^(?:[A-Z]{2}\\d{6}[A-D]|[XYZ]?-?\\d{7,8}-?[A-Z]|[A-Z]\\d{9}|\\d[A-Z][A-Z\\d]\\d-?[A-Z][A-Z\\d]\\d-?[A-Z]{2}\\d{2}|[\\d-]{7,}|[A-Z]{1,2}\\d[A-Z\\d]?\\d[A-Z]{2}|${plates})$`,
  'iu',
)
