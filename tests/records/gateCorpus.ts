/**
 * Labelled headers and values for the gate. Everything is invented; numbers with check digits were made to pass their
 * published checks, telephone numbers are from ranges kept for fiction where there are such (Ofcom 01632 960, 020 7946 0;
 * North American 555-01), and addresses use example domains (RFC 2606) and documentation networks (RFC 5737).
 */

/** Headers that announce an identifier of 45 CFR 164.514(b)(2)(i) for certain. */
export const identifierHeaders: readonly string[] = `
Name|Patient name|patient_name|PatientName|First name|Last name|Surname|Forename|Given name|Family name|Full name|Initials|Maiden name|Name of patient|NAME
Vorname|Nachname|Patientenname|Name des Patienten|Familienname|Geburtsname|Name, Vorname|Name und Vorname
Nom|Prénom|Nom du patient|Nom de famille|Nom et prénom|Nom de naissance
Nombre|Apellidos|Nombre y apellidos|Apellido|Nombre del paciente|Primer apellido
Nome|Sobrenome|Nome do paciente|Nome completo|Apelido
Cognome|Nome e cognome|Nome del paziente|Nominativo|Cognome e nome
Date of birth|DOB|D.O.B.|Birth date|birthdate|Birthday|date_of_birth|Geburtsdatum|Geb.datum|geb.|Date de naissance|Fecha de nacimiento|Data de nascimento|Data di nascita|F. nac.
Address|Home address|Street|Postcode|Post code|ZIP|Zip code|City|Town|Anschrift|Adresse|Wohnort|PLZ|Straße|Ville|Code postal|Dirección|Código postal|Ciudad|Morada|Endereço|CEP|Indirizzo|CAP|Città
Phone|Telephone|Telephone number|Mobile|Cell phone|Fax|Tel.|Tel|Telefon|Telefonnummer|Handy|Handynummer|Téléphone|Portable|Teléfono|Móvil|Telefone|Telemóvel|Telefono|Cellulare
E-mail|Email|email address|Mail|E-Mail-Adresse|Courriel|Correo electrónico|URL|Website|IP address
SSN|Social security number|NHS number|NHS No|National insurance number|Insurance number|Policy number|Passport number|Driving licence|Account number|IBAN|Medicare number|Member ID
Sozialversicherungsnummer|Versichertennummer|Krankenkasse|KV-Nummer|Kontonummer|Numéro de sécurité sociale|NIR|DNI|NIF|Tarjeta sanitaria|CPF|Número de utente|Codice fiscale|Tessera sanitaria
Medical record number|MRN|Patient number|Patient no|Chart number|Chart no|Hospital number|Record number|Patientennummer|Pat.-Nr.|Karteinummer|Aktenzeichen|Numéro de dossier|Historia clínica|NHC|Prontuário|Cartella clinica
Serial number|Device serial|UDI|Seriennummer|Numéro de série|Número de serie|License plate|Kennzeichen|VIN
Photo|Photograph|Fingerprint|Signature|Foto|Unterschrift|Firma|Image file|STL file|Scan file
`
  .trim()
  .split(/[|\n]/)

/** Headers of an implant practice that announce nothing of the kind. */
export const innocentHeaders: readonly string[] = `
restoration_id|patient_id|implant_id|clinic_id|operator_id|delivery_date|Delivery|Date of delivery|Insertion date|tooth_position|Tooth|FDI|Region|Regio|Zahn|Dent|Pieza|Elemento
Age|Age at delivery|Sex|Gender|Alter|Geschlecht|Sexe|Edad|Sexo|Idade|Età|Restoration type|Crown type|Retention|Connection|Implant diameter|Implant length|Diameter (mm)|Length (mm)|Durchmesser|Länge|Cantilever|Crown height
Abutment|Abutment type|Material|Crown material|Screw material|Screw coating|Channel angle|Opposing|Antagonist|Occlusal scheme|Bruxism|Bruxismus|Night guard|Schiene|Gouttière|Férula|Seating radiograph|Jig
Tightening group|Protocol|Tightenings|Number of tightenings|Wait (min)|Torque|Torque (Ncm)|Target torque|Achieved torque|Removal torque|Drehmoment|Couple|Par de apriete|Coppia di serraggio
Last check|First loosening|Loosening|Loosenings|Removed|Removal reason|Visit 1|Visit type|Check 1|Check 2 finding|Screw checked|Method|Finding|Findings|Action|Status|Severity|Chair time|Befund|Kontrolle|Komplikation|Constat|Hallazgo|Reperto
Sequence|Minutes|Days|Context|Hold time|Device type|Calibration date|Screw status|Cycles|Lubrication|System|Shade|Impression technique|Bone level|Probing depth|Keratinised mucosa|Cement|Healing time|Grafting|Loading protocol|Papilla index|Plaque index|Bleeding|Crown number of units|Screw brand code|Gap (µm)|Group|Arm|Row|Index|Version
Observation start|Implant placement|Recall interval|Smoking|Diabetes|Period|Year|Quarter|Side|Arch|Quadrant|Jaw
`
  .trim()
  .split(/[|\n]/)

/** Values that identify a person for certain, wherever they stand. */
export const identifierValues: readonly string[] = `
john.smith@example.com|a.meier@praxis.example.org|info+crown@example.net|contact: jane@example.com
https://www.example.com/patient/17|www.example.org|http://example.net/x
192.0.2.17|198.51.100.3|203.0.113.99|2001:0db8:0000:0000:0000:ff00:0042:8329
078-05-1120|219-09-9999|123-45-6789
+44 1632 960001|(01632) 960123|01632 960 777|020 7946 0018|+1 212 555 0123|(212) 555-0147|212-555-0182|+49 30 23125 014|030/23125 015|+33 1 99 00 12 34|+34 910 123 456|+351 21 123 4567|+39 06 1234 5678
943 476 5919|987-654-4321|NHS 943 476 5919
SW1A 1AA|M1 1AE|EC1A 1BB|B33 8TH|GIR 0AA
QQ 12 34 56 C|AB123456C|JK 98 76 54 D
RSSMRA85T10A562S|VRDGPP13R10B293P|123.456.789-09|12345678Z|X1234567L
DE89 3704 0044 0532 0130 00|GB29NWBK60161331926819|FR1420041010050500013M02606
4111 1111 1111 1111|5500-0000-0000-0004
(01)09506000134352|0109506000134352171503311012345
Mr Smith|Mrs Jane Doe|Dr. Müller|Herr Schmidt|Frau Dr. Weber|Mme Dupont|M. Jean Dupont|Sra. García|Sig. Rossi|Sig.ra Bianchi|Dott. Verdi|Prof. Wagner
Smith, John|García López, María|Müller, Hans|Rossi, Mario|Dubois, Claire|Silva, João
John Smith|Maria Lopez|Hans-Peter Schmidt|Anna Schmidt|Jean-Pierre Martin|Giulia Rossi|João Silva|Sofia Fernández|Claire O'Brien|Thomas van den Berg|Michael Brown|Sarah Jones
JOHN SMITH|SMITH JOHN|john smith|maria garcia|schmidt hans
spoke to John Smith about the guard|called Mrs Jones twice|Pat. Frau Schulze war da|patient asked for Dr. Keller|ring 01632 960456 before noon|Tel. 030 23125016|mother is Maria Rossi
Hauptstraße 12|Lindenweg 4a|12 High Street|221b Baker Street|rue de la Paix 5|12 rue Victor Hugo|Calle Mayor 3|Via Roma 10|Rua Augusta 25|5 Park Lane
portrait_17.jpg|scan-upper.stl|img0001.dcm
00:1B:44:11:3A:B7|S/N 4471-2290|serial no. AB12345678
`
  .trim()
  .split(/[|\n]/)

/** Values of an implant practice that identify nobody. */
export const innocentValues: readonly string[] = `
P0001|R0001|A|B17|OP3|C-04|X-1017|S/22|k7|North|Site 3|pseudo-118|a1b2c3|P-7K3QX9|2019/A/17
36|46|14|25|UR6|LL5|6+|1.6|#14
2019-03-14|14.03.2019|14/03/2019|3/14/2019|2019-03|March 2019|2019-03-14T00:00:00
35|34.6|0|10|-14|1,250|3,5|35 Ncm|35 N·cm|0.35 Nm|1e3|4.1 x 10|4.1/10|3.5 mm|15°|10 min|100%
female|male|f|m|weiblich|homme|mujer|other|unknown|n/a|-|?
single crown|Single crown|Single Crown|Full Arch|Fixed partial|Einzelkrone|Couronne unitaire|Corona unitaria|screw|cement|Screw Retained|verschraubt|internal hex|Internal Hexagon|conical|Morse taper|Cone Morse
stock titanium|Titanium Base|cast gold|zirconia|Monolithic Zirconia|Metal Ceramic|lithium disilicate|Lithium Disilicate|PMMA|acrylic|Resin Composite|Titanium Alloy|Gold Alloy|DLC|Natural Tooth|Removable Denture|Canine Guidance|Group Function|Mutually Protected
none|screw loosening|Screw Loosening|Schraube locker|o. B.|o.B.|Dévissage|Aflojamiento|Allentamento|chipping|Veneer Chipping|implant loss|Loss Of Retention|tightened|Screw Replaced|remade|in place|In Place|removed|lost|elective|complication
yes|no|x|✓|ja|nein|oui|non|sí|não|true|false|1|0
recall|Recall Check|annual check|Annual Recall|emergency|telephone|by phone|records only|mobility|torque|Torque Check|radiograph|beam|toggle|electronic|dry|saliva|chlorhexidine|new|reused
retightened to 35, no play|contact point adjusted|filling renewed|crown removed and cleaned|guard advised|occlusion adjusted|patient away|not seen since|see next visit|Protocol A|Protocol B|Period 1|before change|after change|Shade A2|A3.5|Grade 5|M1.6|ISO 3950|Upper Left|Lower Right|Left Side|Bone Level|Soft Tissue Level|Platform Switched|Delayed Loading|Immediate Loading
v1.2.3|10.2|1.2.3|12-17|2-0-1|7:30|10:15:00|1/2|5 of 7|3x|2x at 10 min|<5|>60|~35|ca. 10|#REF!|=SUM(A1:A3)
`
  .trim()
  .split(/[|\n]/)
