import { headerWords } from '../headerWords.js'

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
      /^(?:(?:full |complete )?names?|(?:patients?|pat|pt|client|person|persons|customer) ?(?:full |first |last )?names?|names? of (?:the )?patients?|(?:first|last|given|family|middle|maiden|christian|fore|sur|nick|preferred|second|birth)[ -]?names?|(?:patient |pat )?(?:surname|forename|firstname|lastname|fname|lname)|patient initials?|initials?|next of kin|emergency contact|guardian(?: name)?|parent name|spouse(?: name)?|contact person|vor ?name|nach ?name|zu ?name|familien ?name|geburts ?name|ruf ?name|(?:patienten|pat) ?name|name (?:des|der) patient(?:en|in)|name und vorname|name vorname|vor und nachname|patientin|noms?|pre ?noms?|noms? (?:du |de la |de )?patiente?s?|nom de famille|nom de naissance|nom et prenom|nom prenom|nom complet|nombres?|apellidos?(?: y nombres?)?|nombres? y apellidos?|nombre (?:del |de la )?paciente|nombre completo|primer apellido|segundo apellido|nomes?|sobre ?nomes?|apelidos?|nome (?:do |da )?paciente|nome completo|nome proprio|cognomi?|cogn|nome e cognome|cognome e nome|cognome nome|nome (?:del |della )?paziente|nominativo|operator name|dentist name|doctor name|nom du praticien|name des behandlers|nombre del dentista|nome do dentista|nome del dentista)$/,
  },
  {
    kind: 'a date of birth',
    verdict: 'definite',
    words:
      /^(?:(?:patient |pat )?(?:date of birth|birth ?date|birth ?day|d ?o ?b|dob|born(?: on)?|b ?day)|(?:patient )?geb(?:urts)? ?(?:datum|dat|tag)|geb|geboren(?: am)?|date de naissance|naissance|date naissance|ddn|ne le|nee le|fecha (?:de )?(?:nacimiento|nac)|f ?nac(?:imiento)?|nacimiento|data (?:de )?nasc(?:imento)?|dt nasc(?:imento)?|nascimento|data (?:di )?nascita|nascita|nato il|data nasc)$/,
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
      /^(?:(?:home |postal |street |mailing |patient )?address(?: line)?(?: \d)?|addr(?: \d)?|street(?: name)?|house (?:number|no)|(?:zip|post|postal) ?codes?|zip|postcode|city|town|village|county|district|suburb|parish|municipality|neighbou?rhood|anschrift|adresse|wohnort|wohnadresse|strasse|str|hausnummer|plz|postleitzahl|ort|stadt|rue|ville|commune|code postal|cp|domicile|lieu de residence|direccion|domicilio|calle|codigo postal|ciudad|localidad|municipio|poblacion|endereco|morada|rua|cep|cidade|bairro|freguesia|concelho|localidade|indirizzo|via|cap|citta|comune|localita|residenza|provincia|latitude|longitude|lat|lon|gps|geo ?location|coordinates)$/,
  },
  {
    kind: 'a telephone or fax number',
    verdict: 'definite',
    words:
      /^(?:(?:patient |home |work |mobile |cell |contact |private )?(?:tele)?phone(?: ?(?:number|no|nr|home|work|mobile|private))?|(?:tele)?phone|tel(?: ?(?:no|nr|number|priv|privat|mobil))?|telefone?|telefon ?(?:nummer|nr|privat|mobil)?|mobile(?: ?(?:number|no|phone))?|cell(?: ?(?:number|phone))?|handy(?: ?nr| ?nummer)?|mobil(?: ?nummer| ?telefon)?|fax(?: ?(?:number|no|nr))?|faxnummer|portable|telefono(?: movil| fijo)?|movil|telemovel|celular|telefone|cellulare|numero de telephone|numero de telefono|numero di telefono|recapito|whatsapp)$/,
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
      /^(?:s ?s ?n|ssn|social security(?: ?(?:number|no|nr))?|national (?:id|insurance|identity)(?: ?(?:number|no|nr))?|ni ?(?:number|no)|nino|nhs(?: ?(?:number|no|nr|id))?|chi ?(?:number|no)?|hic ?n|medicare(?: ?(?:number|no|id))?|medicaid(?: ?(?:number|no|id))?|insurance(?: ?(?:number|no|nr|id|policy))?|policy(?: ?(?:number|no|id))?|health plan(?: ?(?:number|no|id|beneficiary))?|plan (?:number|id)|member ?(?:id|number|no)|subscriber ?(?:id|number|no)|beneficiary ?(?:id|number|no)|passport(?: ?(?:number|no|nr))?|id card(?: ?(?:number|no))?|identity card|(?:drivers?|driving) licen[cs]e(?: ?(?:number|no))?|licen[cs]e(?: ?(?:number|no|plate))|tax ?(?:id|number|no)|account(?: ?(?:number|no|nr))|bank account|iban|credit card(?: ?(?:number|no))?|card number|sozialversicherungs ?(?:nummer|nr)|sv ?(?:nummer|nr)|versicherten ?(?:nummer|nr|id)|versicherungs ?(?:nummer|nr)|kranken(?:kassen|versicherungs) ?(?:nummer|nr)|kv ?(?:nummer|nr)|kvnr|krankenkasse|ausweis ?(?:nummer|nr)|steuer ?(?:nummer|nr|id)|konto ?(?:nummer|nr)|numero de secur?ite sociale|securite sociale|no secu|n secu|nir|insee|ins|carte vitale|numero d assure|mutuelle|numero de compte|dni|nie|nif|nuss|tarjeta sanitaria|numero de la seguridad social|seguridad social|numero de afiliado|cpf|rg|cns|cartao (?:sus|cidadao|de cidadao)|bilhete de identidade|niss|numero de utente|utente|codice fiscale|c ?f|cod fisc|tessera sanitaria|numero di conto|patente|targa)$/,
  },
  {
    kind: 'a record or chart number',
    verdict: 'definite',
    words:
      /^(?:(?:medical|dental|health|hospital|clinical) record(?: ?(?:number|no|nr|id))?|m ?r ?n|mrn|(?:patient|pat) ?(?:record|chart|file|card|account) ?(?:number|no|nr|id)?|chart ?(?:number|no|nr|id)|chart|record (?:number|no|nr)|case (?:number|no)|file (?:number|no|nr)|hospital ?(?:number|no|nr|id)|patient ?(?:number|no|nr)|patienten ?(?:nummer|nr)|pat ?(?:no|nr|nummer)|kartei ?(?:nummer|nr|karte)|akten ?(?:zeichen|nummer|nr)|fall ?(?:nummer|nr)|numero de dossier|no dossier|dossier|numero (?:de )?patient|ipp|historia clinica|numero de historia|nhc|n ?h ?c|expediente|numero de paciente|prontuario|numero do prontuario|processo clinico|numero do processo|numero do paciente|cartella clinica|numero cartella|cartella|numero paziente)$/,
  },
  {
    kind: 'a vehicle or device serial',
    verdict: 'definite',
    words:
      /^(?:serial(?: ?(?:number|no|nr))?|device serial(?: ?(?:number|no))?|s ?n|udi(?: ?(?:di|pi))?|gtin|license plate|licence plate|number plate|vehicle(?: ?(?:id|registration|number))?|vin|registration plate|kennzeichen|serien ?(?:nummer|nr)|seriennummer|numero de serie|no serie|immatriculation|matricula|numero di serie|numero de serie do dispositivo)$/,
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

/** What a header announces, or undefined where it announces no identifier. */
export function identifierOfHeader(
  header: string,
): { readonly kind: string; readonly verdict: GateVerdict } | undefined {
  const words = headerWords(header)
  const bare = words.replace(/\s?\d+$/, '')
  const found = headerKinds.find(({ words: pattern }) => pattern.test(words) || pattern.test(bare))
  return found === undefined ? undefined : { kind: found.kind, verdict: found.verdict }
}
