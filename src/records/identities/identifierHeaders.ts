import { headerWords } from '../understand/headerWords.js'

/** How sure the gate is that something identifies a person. */
export type GateVerdict = 'definite' | 'possible'

/** A kind of identifier by the header words that announce it. */
interface HeaderKind {
  readonly kind: string
  readonly verdict: GateVerdict
  readonly words: RegExp
}

/**
 * Header words of the identifiers of 45 CFR 164.514(b)(2)(i), in English, German, French, Spanish, Portuguese and
 * Italian. Headers are compared in lower case without accents, words set apart by single spaces.
 */
const headerKinds: readonly HeaderKind[] = [
  {
    kind: 'a name',
    verdict: 'definite',
    words:
      /^(?:(?:full |complete )?names?|(?:patients?|pat|pt|client|person|persons|customer) ?(?:full |first |last )?names?|names? of (?:the )?patients?|(?:first|last|given|family|middle|maiden|christian|fore|sur|nick|preferred|second|birth)[ -]?names?|(?:patient |pat )?(?:surname|forename|firstname|lastname|fname|lname)|patient initials?|initials|next of kin|emergency contact|guardian(?: name)?|parent name|spouse(?: name)?|contact person|vor ?name|nach ?name|zu ?name|familien ?name|geburts ?name|ruf ?name|(?:patienten|pat) ?name|name (?:des|der) patient(?:en|in)|name und vorname|name vorname|vor und nachname|patientin|noms?|pre ?noms?|noms? (?:du |de la |de )?patiente?s?|nom de famille|nom de naissance|nom et prenom|nom prenom|nom complet|nombres?|apellidos?(?: y nombres?)?|nombres? y apellidos?|nombre (?:del |de la )?paciente|nombre completo|primer apellido|segundo apellido|nomes?|sobre ?nomes?|apelidos?|nome (?:do |da )?paciente|nome completo|nome proprio|cognom[ei]|cogn|nome e cognome|cognome e nome|cognome nome|nome (?:del |della )?paziente|nominativo|operator name|dentist name|doctor name|nom du praticien|name des behandlers|nombre del dentista|nome do dentista|nome del dentista)$/,
  },
  {
    kind: 'a date of birth',
    verdict: 'definite',
    words:
      /^(?:(?:patient |pat )?(?:date of birth|birth ?date|birth ?day|d ?o ?b|dob|born(?: on)?|b ?day)|(?:patient )?geb(?:urts)? ?(?:datum|dat|tag)|geb|geboren(?: am)?|date de naissance|naissance|date naissance|date naiss|ddn|ne le|nee le|ne e le|fecha (?:de )?(?:nacimiento|nac)|f ?nac(?:imiento)?|nacimiento|data (?:de )?nasc(?:imento)?|dt nasc(?:imento)?|nascimento|nascid[oa] em|nacid[oa] el|data (?:di )?nascita|nascita|nat[oa] il|nato a il|data nasc)$/,
  },
  {
    kind: 'a year of birth',
    verdict: 'possible',
    words:
      /^(?:year of birth|birth ?year|yob|geburtsjahr|annee de naissance|ano de nacimiento|ano de nascimento|anno di nascita)$/,
  },
  {
    kind: 'an address or small area',
    verdict: 'definite',
    words:
      /^(?:(?:home |postal |street |mailing |patient )?address(?: line)?(?: \d)?|addr(?: \d)?|street(?: name)?|house (?:number|no)|(?:zip|post|postal) ?codes?|zip|postcode|city|town|village|county|district|suburb|parish|municipality|neighbou?rhood|anschrift|adresse|wohnort|wohnadresse|strasse|str|hausnummer|plz|postleitzahl|ort|stadt|rue|ville|commune|code postal|cp|domicile|lieu de residence|direccion|domicilio|calle|codigo postal|ciudad|localidad|municipio|poblacion|endereco|morada|rua|cep|cidade|bairro|freguesia|concelho|localidade|indirizzo|via|citta|comune|localita|residenza|provincia|latitude|longitude|lat|lon|gps(?: coordinates)?|birth ?place|place of birth|geburtsort|lieu de naissance|lugar de nacimiento|local de nascimento|naturalidade|luogo di nascita|geo ?location|coordinates)$/,
  },
  {
    kind: 'a telephone or fax number',
    verdict: 'definite',
    words:
      /^(?:(?:patient |home |work |mobile |cell |contact |private )?(?:tele)?phone(?: ?(?:number|no|nr|home|work|mobile|private))?|(?:tele)?phone|tel(?: ?(?:no|nr|number|priv|privat|mobil))?|telef|telefone?|telefon ?(?:nummer|nr|privat|mobil)?|mobile(?: ?(?:number|no|phone))?|cell(?: ?(?:number|phone))?|handy(?: ?nr| ?nummer)?|mobil(?: ?nummer| ?telefon)?|fax(?: ?(?:number|no|nr))?|faxnummer|portable|telefono(?: movil| fijo)?|movil|telemovel|celular|telefone|cellulare|numero de telephone|numero de telefono|numero di telefono|recapito|whatsapp)$/,
  },
  {
    kind: 'an electronic address',
    verdict: 'definite',
    words:
      /^(?:(?:patient )?e ?mail(?: ?(?:address|adresse|id))?|mail(?: address)?|courriel|adresse (?:e ?mail|electronique)|correo(?: electronico)?|correio(?: eletronico)?|posta elettronica|indirizzo e ?mail|url|web ?site|web ?page|home ?page|facebook|instagram|twitter|skype|ip(?: ?address)?|ip ?adresse|mac ?address|user ?name|login)$/,
  },
  {
    kind: 'a national, insurance or account number',
    verdict: 'definite',
    words:
      /^(?:s ?s ?n|ssn|social security(?: ?(?:number|no|nr))?|national (?:id|insurance|identity)(?: ?(?:number|no|nr))?|ni ?(?:number|no)|nino|nhs(?: ?(?:number|no|nr|id))?|chi ?(?:number|no)?|hic ?n|medicare(?: ?(?:number|no|id))?|medicaid(?: ?(?:number|no|id))?|insurance(?: ?(?:number|no|nr|id|policy))?|policy(?: ?(?:number|no|id))?|health plan(?: ?(?:number|no|id|beneficiary))?|plan (?:number|id)|member ?(?:id|number|no)|subscriber ?(?:id|number|no)|beneficiary ?(?:id|number|no)|passport(?: ?(?:number|no|nr))?|id card(?: ?(?:number|no))?|identity card|(?:drivers?|driver s|driving) licen[cs]e(?: ?(?:number|no))?|licen[cs]e(?: ?(?:number|no|plate))|tax ?(?:id|number|no)|(?:account|acct)(?: ?(?:number|no|nr))|bank account|iban|credit card(?: ?(?:number|no))?|card number|sozialversicherungs ?(?:nummer|nr)|sv ?(?:nummer|nr)|versicherten ?(?:nummer|nr|id)|versicherungs ?(?:nummer|nr)|kranken(?:kassen|versicherungs) ?(?:nummer|nr)|kv ?(?:nummer|nr)|kvnr|krankenkasse|ausweis ?(?:nummer|nr)|steuer ?(?:nummer|nr|id)|konto ?(?:nummer|nr)|numero de secur?ite sociale|securite sociale|no secu|n secu|nir|insee|ins|carte vitale|numero d assure|mutuelle|numero de compte|dni|nie|nif|nuss|tarjeta sanitaria|numero de la seguridad social|seguridad social|numero de afiliado|cpf|rg|cns|cartao (?:sus|cidadao|de cidadao)|bilhete de identidade|niss|numero de utente|utente|codice fiscale|c ?f|cod fisc|tessera sanitaria|numero di conto|patente|targa)$/,
  },
  {
    kind: 'a record or chart number',
    verdict: 'definite',
    words:
      /^(?:(?:medical|dental|health|hospital|clinical) record(?: ?(?:number|no|nr|id))?|m ?r ?n|mrn|(?:patient|pat) ?(?:record|chart|file|card|account) ?(?:number|no|nr|id)?|chart ?(?:number|no|nr|id)|chart|record (?:number|no|nr)|case (?:number|no)|file (?:number|no|nr)|hospital ?(?:number|no|nr|id)|patient ?(?:number|no|nr)|patienten ?(?:nummer|nr)|pat ?(?:no|nr|nummer)|kartei ?(?:nummer|nr|karte)|akten ?(?:zeichen|nummer|nr)|fall ?(?:nummer|nr)|numero de dossier|no (?:de )?(?:dossier|historia|paciente|paziente|processo|cartella)|dossier|numero (?:de )?patient|ipp|historia clinica|numero de historia|nhc|n ?h ?c|expediente|numero de paciente|prontuario|numero do prontuario|processo clinico|numero do processo|numero do paciente|cartella clinica|numero cartella|cartella|numero paziente)$/,
  },
  {
    kind: 'a vehicle or device serial',
    verdict: 'definite',
    words:
      /^(?:serial(?: ?(?:number|no|nr))?|device serial(?: ?(?:number|no))?|device sn|vehicle plate|s ?n|udi(?: ?(?:di|pi))?|gtin|license plate|licence plate|number plate|vehicle(?: ?(?:id|registration|number))?|vin|registration plate|kennzeichen|serien ?(?:nummer|nr)|seriennummer|numero de serie|no serie|immatriculation|matricula|numero di serie|numero de serie do dispositivo)$/,
  },
  {
    kind: 'biometrics or an image',
    verdict: 'definite',
    words:
      /^(?:photo(?:graph)?s?|portrait|face|picture|image(?: ?(?:file|path|url))?|finger ?prints?|voice ?prints?|biometrics?|signature|retina|iris|foto|lichtbild|bild|unterschrift|fingerabdruck|empreinte|signature du patient|firma|huella|assinatura|impronta|immagine|imagen|imagem|scan ?file|stl ?file|x ?ray ?file|dicom(?: ?(?:uid|file))?)$/,
  },
  {
    kind: 'free text',
    verdict: 'possible',
    words:
      /^(?:notes?|comments?|remarks?|free ?text|memo|history|anamnes[ei]s?|bemerkung(?:en)?|notiz(?:en)?|kommentare?|anmerkung(?:en)?|remarques?|commentaires?|observaciones|notas|comentarios?|observacoes|comentarios?|osservazioni|commenti|note)$/,
  },
  {
    kind: 'a place or person that narrows down who it is',
    verdict: 'possible',
    words:
      /^(?:clinic name|practice(?: name)?|hospital|occupation|job|profession|employer|ethnicity|race|religion|nationality|country of birth|referr(?:er|ing dentist|ing doctor)|referred by|gp|dentist|doctor|surgeon|provider|praxis|beruf|arbeitgeber|uberweiser|zahnarzt|behandler|cabinet|praticien|profession|medecin|dentista|medico|profesion|ocupacion|profissao|consultorio|studio|odontoiatra|professione|region|state|bundesland)$/,
  },
]

/** Words that announce an identifier whatever stands beside them. */
const strongWords: readonly (readonly [kind: string, words: RegExp])[] = [
  [
    'a name',
    /(?:^| )(?:surnames?|forenames?|firstname|lastname|fullname|patientname|vornamen?|nachnamen?|familienname|geburtsname|prenoms?|apellidos?|sobrenomes?|cognom[ei]|nominativo)(?: |$)/,
  ],
  [
    'a name',
    /(?:^| )(?:pt|pat|patients?|patienten|paciente|paziente|client|first|last|full|given|family|maiden)s?(?: s)? (?:full |first |last )?(?:name|nom|nombre|nome)(?: |$)/,
  ],
  [
    'a name',
    /(?:^| )(?:name|nom|nombre|nome) (?:(?:of|des|der|du|de|de la|del|della|do|da) )?(?:the )?(?:pt|pat|patient\p{L}*|paciente|paziente)(?: |$)/u,
  ],
  [
    'a date of birth',
    /(?:^| )(?:dob|birth ?date|birth ?day|geb ?datum|geburts ?(?:datum|tag|dat)|naissance|nacimiento|nascimento|nascita|date of birth|ddn)(?: |$)/,
  ],
  [
    'an address or small area',
    /(?:^| )(?:address|adresse|anschrift|direccion|domicilio|endereco|morada|indirizzo|post ?code|postal ?code|zip|zipcode|plz|postleitzahl|code postal|codigo postal|strasse|street|hausnr|hausnummer|wohnort)(?: |$)/,
  ],
  [
    'a telephone or fax number',
    /(?:^| )(?:phone|telephone|telefon\p{L}*|telefono|telefone|mobile|mobil(?:nummer|telefon)?|handy(?:nr|nummer)?|cell ?phone|cellulare|telemovel|celular|movil|fax|whatsapp|contact (?:no|nr|number))(?: |$)/u,
  ],
  ['an electronic address', /(?:^| )(?:e ?mail|courriel|correo electronico|ip address|url)(?: |$)/],
  [
    'a national, insurance or account number',
    /(?:^| )(?:ssn|social ?security|nhs|iban|passport|nino|national insurance|medicare|medicaid|krankenkasse|krankenversicherung|versicherten ?(?:nr|nummer)|sozialversicherungs?(?: ?(?:nr|nummer))?|steuer ?(?:nr|nummer|id)|securite sociale|seguridad social|codice fiscale|tarjeta sanitaria|tessera sanitaria|insurance (?:no|nr|number|id)|health insurance)(?: |$)/,
  ],
  [
    'a record or chart number',
    /(?:^| )(?:mrn|chart (?:no|nr|number|id)|hospital (?:no|nr|number|id)|medical record|dental record|health record|ehr id|emr id|record (?:no|nr|number)|kartei\p{L}*|aktenzeichen|historia clinica|prontuario|cartella clinica)(?: |$)/u,
  ],
  [
    'a vehicle or device serial',
    /(?:^| )(?:serial (?:no|nr|number)|seriennummer|udi|licen[cs]e plate|number plate)(?: |$)/,
  ],
  [
    'biometrics or an image',
    /(?:^| )(?:finger ?prints?|biometrics?|portrait|face photo|patient photo|signature|unterschrift)(?: |$)/,
  ],
]

/** Things that have names and are no people. */
const namedThings =
  /(?:^| )(?:system|device|implant|component|screw|material|file|sheet|column|field|variable|code|product|test|protocol|brand|cement|crown|abutment|group)(?: |$)/

/** What a header announces, or undefined where it announces no identifier. */
export function identifierOfHeader(
  header: string,
): { readonly kind: string; readonly verdict: GateVerdict } | undefined {
  // In Italian the postcode is CAP; in English a cap closes an implant while it heals.
  if (header.trim() === 'CAP') return { kind: 'an address or small area', verdict: 'definite' }
  if (header.length > 200) return { kind: 'free text', verdict: 'possible' }
  const words = headerWords(header)
  const bare = words.replace(/\s?\d+$/, '')
  const found = headerKinds.find(({ words: pattern }) => pattern.test(words) || pattern.test(bare))
  if (found !== undefined) return { kind: found.kind, verdict: found.verdict }
  const strong = strongWords.find(([, pattern]) => pattern.test(words))
  if (strong !== undefined) return { kind: strong[0], verdict: 'definite' }
  if (/(?:^| )names?(?: |$)/.test(words) && !namedThings.test(words))
    return { kind: 'a name', verdict: 'possible' }
  return undefined
}
