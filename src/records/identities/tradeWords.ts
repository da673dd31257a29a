import { sheetFields } from '../../vocabulary/fields.js'
import { headerWords } from '../understand/headerWords.js'
import { codeWords } from '../understand/words/codeWords.js'
import { oneSheetHeaders } from '../understand/words/oneSheetHeaders.js'
import { restorationHeaders } from '../understand/words/restorationHeaders.js'
import { tighteningHeaders } from '../understand/words/tighteningHeaders.js'
import { visitHeaders } from '../understand/words/visitHeaders.js'

/**
 * Words of the trade and of plain notes in English, German, French, Spanish, Italian and Portuguese that are written with
 * a capital now and then, beyond those of the headers and codes. Common practice, no source.
 */
const further = `
abutment access acrylic adhesive advised after alloy alveolar amalgam analog anatomic anchor angled angulated anterior apical arch arm assistant
axial ball bar base before bevel bite block body bond bonded bone bracket bridge buccal bur cad cam canal canine cap cast cement central centre
ceramic chair channel check chewing chipping class clasp clean clinic clinical closed coating collar composite condition conical connection
contact control cone core cover cross crown cusp custom cut cycle deep dental dentine denture depth device digital direct distal
dose drill dry ductal early edentulous electronic emergence emergency enamel end endosseous engaging external face facial factory fast final fine first fixed
flap flat follow force form frame framework free full function gap gel gingiva gingival glass gold good graft grafting group guard guide
guided gum hand handpiece hard head healing hex hexagon high hole hybrid hygiene immediate implant impression incisal incisor index
indirect inlay inner insert insertion intact internal jaw joint key kit lab laboratory lateral layer left level lingual liner link load
loading lock locking long loose loss low lower main major mandible mandibular manual margin marginal material maxilla maxillary medium membrane mesial metal method
micro mid milled minor model molar monolithic morse mouth mucosa multi narrow natural neck new night non note nylon occlusal occlusion
old onlay open oral original osseo other outer overdenture palatal panoramic part partial passive pattern peri periapical period phase pick pillar pin
plan plaque plastic plate platform point polished polymer ponti pontic porcelain porous position post posterior press pressed pressure primary probe probing procedure
profile prosthesis prosthetic protocol proximal radiograph ratchet recall record reduced reference region regular removable removal repair report resin rest
restoration retained retainer retention review ridge right rigid ring root rotation rough round routine saliva sandblasted scan scanner score screw scheme seat seating second
set shade shallow short shoulder shown side silicone silver single sinus site size sleeve slight small smooth soft solid space special splint splinted stable
stage standard status steel stent stock straight strip stud study submerged super surface surgery surgical switched system table taper tapered team teflon temporary
test therapy thick thin third thread tight tightened tightening tip tissue titanium tooth top torque total transfer transmucosal tray treatment trial try type ultra
unit upper vertical visit wall wear wedge white wide width wing worn wrench zirconia zone zygoma
patient patients phone recall scheduled unscheduled telephone hours days weeks months years date day week month year today yesterday tomorrow morning evening
monday tuesday wednesday thursday friday saturday sunday january february march april may june july august september october november december
north south east west city centre practice main branch spring summer autumn winter red green blue black yellow not no yes none all both some more less
well poor fair excellent moderate severe mild acute chronic normal abnormal positive negative present absent unknown delayed early late repeated radiographic
abdruck abformung abplatzung abutment abutments anziehen anzug aufbau aufbiss aufbissschiene ausgetauscht befestigung befund befunde beginn behandlung beschwerden beweglichkeit biss
blutung bohrung bruch bruxismus chirurgie distal drehmoment drehmomentschlussel eingliederung einheilung einsatz einsetzen einzelkrone entfernt entzundung erneuert ersatz
fest festgezogen flache fraktur front frontzahn fullung gebrochen gekurzt gelost gerust geschiebe gewinde gingiva gold goldlegierung halterung heilung hygiene implantat implantate
implantatkrone implantatverlust innensechskant kanal kante kauen kaufunktion keramik kiefer kompositverschluss komposit konische konisch kontakt kontaktpunkt kontrolle kontrolltermin krone kronen kunststoff labor langzeit
legierung links locker lockerung material mesial metall metallkeramik minuten mobilitat molar mukosa nacht nachziehen nachsorge neu neuanfertigung notfall oberkiefer okklusion oral patient patientin
platte plan politur position pramolar probe protese prothese provisorium prufung rand recall rechts region regio reinigung reparatur rest riss rontgen rontgenbild rontgenkontrolle
rotation schiene schleimhaut schmerz schmerzen schmerzfrei schraube schrauben schraubenbruch schraubenkanal schraubenlockerung schraubenwechsel schulter seite seitenzahn sitz sitzt stabil sofort sofortbelastung spatbelastung spalt system teflon
termin titan titanbasis titanlegierung torsion tragt trauma uberlastung unauffallig unterkiefer untersuchung verblendung verbindung verbunden verdacht verlust verriegelung verschluss verschraubt
verschraubte verzogen vollkeramik vorhanden vollstandig weichgewebe wechsel werkstoff winkel wochen wurzel zahn zahne zement zementiert zirkon zirkonoxid zugang zustand zweites erneut ohne kein keine mit nach beim bei und oder nicht noch wieder
januar februar marz mai juni juli oktober dezember montag dienstag mittwoch donnerstag freitag samstag sonntag heute morgen gestern
abutment acces acier ajustage ajuste alliage anneau antagoniste appareil arcade argent armature arriere ascenseur attache aucun aucune avant axe bague barre bilan bloc bouche bridge bruxisme canal ceramique ceramo chape changee chirurgie cicatrisation
clef cle complet complete composite conique connexion consultation contact controle couple couronne couronnes cycle dent dentaire dents depose descelle descellee desserrage desserree devissage devissee distale droite echec eclat email empreinte entretien espace examen
externe extraction face ferme fermeture fixation fixe fracture fraisage gauche gencive gouttiere greffe guide haut hexagone hygiene implant implants implantaire incisive inferieur inferieure infraocclusion interne joint laboratoire
lambeau limite maintenance mandibule marge materiau maxillaire mecanique mesiale metal metallique metallo mobile mobilite molaire monolithique mors muqueuse nettoyage neuve nocturne normal nouvelle nuit obturation occlusale occlusion opposee or os osseux
panoramique partielle patient patiente pilier piliers plan plaque plateforme point polissage pont porcelaine pose position posterieur premolaire pression prothese prothetique provisoire proximal puits radio radiographie rebasage remplacee repare reparation resine reste revision rien
rotation saignement sans satisfaisante scellement scelle seance secteur serrage serree soins soudure stable suivi superieur superieure surveillance temporaire tissu titane tournevis traitement transvissee unitaire usure usinage vis visite vissee zircone zone
janvier fevrier mars avril juin juillet aout septembre octobre novembre decembre lundi mardi mercredi jeudi vendredi samedi dimanche
aditamento aflojado aflojamiento ajuste aleacion angulado antagonista apretado apriete arcada atornillada atornillado base boca brecha bruxismo cabeza cambio canal canino caries cementada cemento ceramica cerrada chimenea cicatrizacion cirugia clinica cobertura completa
completo composite conexion conica conico consulta contacto control corona coronas correcta cuadrante derecha derecho descarga dental diente dientes directo dolor encia endodoncia entrega escaner espacio estable estetica examen externa externo ferula fija fijo filtracion
flojo floja fractura guiada guia hexagono higiene hueso implante implantes impresion incisivo inferior inmediata inmediato injerto inserto interna interno inicio inspeccion izquierda izquierdo laboratorio limpieza llave mandibula mantenimiento material maxilar membrana metal metalica molar molestias montaje movilidad
mucosa muela normal nuevo nocturna oclusal oclusion oro ortopantomografia paciente perdida periodo pieza pilar pilares placa plataforma pilarito porcelana posicion posterior premolar presion protesico protesis provisional prueba puente puente radiografia reapriete rebase rechazo recambio resina retirada revision rosca rotura ruido seguimiento segundo
segunda sangrado sin sistema superior tejido temporal titanio torque torsion tornillo tornillos tratamiento unitaria urgencia usura visita zirconio zona nota enero febrero marzo abril mayo junio julio agosto septiembre octubre noviembre diciembre lunes martes miercoles jueves viernes sabado domingo
abutment accesso allentamento allentata altezza ancoraggio anteriore antagonista arcata armatura attacco avvitata avvitamento base bite bocca bruxismo cambio canale canino cementata cemento ceramica chirurgia chiusura chiusa ciclo completa completo composito connessione conica conico contatto controllo corona corone coppia
dente denti destra destro diga dima disturbo dolore elemento esagono esterna esterno esame estetica fissa fissaggio frattura fresata gengiva gesso guidata immediato impianti impianto impronta incisivo inferiore innesto interna interno igiene intraorale laboratorio lega levigatura libero linea lucidatura
mandibola manutenzione margine mascella mascellare materiale metallo metallica mobile mobilita molare moncone monconi monolitica mucosa nessun nessuna notturno nuova nuovo occlusione occlusale oro osso overdenture paziente perdita perno piano pilastro ponte porcellana posizione posteriore premolare pressione prova protesi protesica protesico protesta provvisoria provvisorio
radiografia reintervento resina riabilitazione richiamo rimossa rimozione riparazione ritenzione rottura sanguinamento scheggiatura secondo seconda serraggio serrata sinistra sinistro sistema soprastruttura sostituita sostituzione spazio stabile superiore svitamento tavola tessuto titanio titanio torsione trattamento urgenza usura vite viti visita zirconia zona nota
gennaio febbraio aprile maggio giugno luglio settembre ottobre dicembre lunedi martedi mercoledi giovedi venerdi sabato domenica
acesso aparafusada aparafusado afrouxamento ajuste ajustada angulado anterior aperto arcada armacao articulacao barra base boca bruxismo cabeca calcinavel canal canino cantilever ceramica cicatrizacao cicatrizador cimentada cimento cirurgia cobertura completa completo componente conexao cone conico consulta contacto contato controle controlo coroa coroas
dente dentes desaperto desgaste direita direito dor elemento encaixe enxerto escaneamento esquerda esquerdo estavel estetica exame externo externa falha faltou fechado ferula fixa fixo fratura frouxa frouxo gengiva gengival guiada hexagono higiene imediata imediato implante implantes impressao incisivo inferior interna interno laboratorio liga limpeza
lingual mandibula manutencao maxila maxilar membrana metal metalo mobilidade molar molde moldagem morse mucosa munhao noturna nova novo oclusao oclusal osso ouro paciente parafuso parafusos peca pilar pilares placa plataforma ponte porcelana posicao posterior pre premolar pressao protese protetica protetico provisoria provisorio queixas
radiografia reaberto reaperto rebasamento recolocada regiao remocao reparo resina retencao revisao rosca sangramento segundo segunda sem sistema solta soltou superior tecido temporario titanio torque transmucoso tratamento troca trocado unitaria unitario urgencia visita zirconia zona nota janeiro fevereiro marco maio junho julho setembro outubro novembro dezembro segunda terca quarta quinta sexta sabado domingo
ncm nm isq
jan feb mar apr jun jul aug sep sept oct nov dec dez okt avr aout ene abr ago dic gen mag giu lug ott fev out
easter christmas holiday holidays ostern weihnachten urlaub paques noel navidad pascua pasqua natale pascoa natal ferias
kennedy class frankfort camper
moldeira guia tampa cinta parede fecho
alumina aluminium carbide chrome chromium cobalt iridium molybdenum nickel niobium palladium platinum tantalum tungsten vanadium yttria
chrom kobalt molybdan nickel palladium platin tantal wolfram chrome cobalt iridium molybdene nickel platine tungstene
cromo cobalto niquel paladio platino wolframio tungsteno nichel palladio cobalto cromo platina
accident appetite bicycle breath cause choice comfort complaint cost costs cough diet drawer dust fall fever food friday gag habit happy health heavy helped holiday home
illness infection injury insurance letter lunch medication money nerve notes opinion order pain pregnancy price quadrant question quick reason relief result results shift
sleep smile smoker soreness speech sport stress stroke study success swelling taste tension time tongue travel trip voice weight work
angst anfang arbeit ausland auto bericht brief druck einwilligung ende ergebnis ernahrung essen fahrrad fehler ferien fieber frage geduld gefuhl geld geruch geschmack gewicht
grippe grund gute guter gutes hilfe husten kosten krankheit kur lappen lippe mahlzeit mundhygiene nachbar nerv notdienst pause pflege preis prophylaxe putzen raucher reise
ruhe schlaf schwellung speichel sport sprache spritze sturz studie stress umzug unfall ursache vergleich versicherung versorgung wange wunde wunsch zahnpflege zeit zunge zweifel
accident aliment allergie annee argent attente avis chute choix cause cout douleur effort ete fievre fumeur gene gout grossesse habitude hiver joue langue levre lettre medicament
nourriture odeur plainte prix probleme question rage raison repas resultat sante sommeil sport stress succes tabac temps travail urgence vacances voix voyage
accidente alergia alimento ano caida causa coche coste dieta duda edad embarazo estres exito fiebre fumador gusto habito hambre labio lengua mala malo mejor motivo nervio
peso precio presupuesto problema queja razon resultado salud sueno tabaco tiempo trabajo vacaciones viaje voz
allergia anno aria attesa buona buono caduta causa cibo costo denaro dieta disagio dubbio eta febbre ferie fumatore fumo gravidanza gusto guancia labbro lingua male motivo nervo parere
peso preventivo prezzo problema ragione risultato salute sonno sport stress successo tempo viaggio voce
alergia alimento ano boa bom causa custo dieta duvida exito febre ferias fumador fumante gosto gravidez habito idade labio lingua medo melhor motivo nervo orcamento peso preco problema
queda queixa razao resultado saude sono sucesso tabaco tempo trabalho viagem voz`

function plainWord(word: string): string {
  return word
    .toLowerCase()
    .normalize('NFD')
    .replace(/\p{M}+/gu, '')
    .replace(/ß/g, 'ss')
}

function wordsOf(texts: readonly string[]): readonly string[] {
  return texts.flatMap((text) => headerWords(text).split(' '))
}

const known: ReadonlySet<string> = new Set([
  ...further.split(/\s+/).map(plainWord),
  ...wordsOf(
    [restorationHeaders, tighteningHeaders, visitHeaders, oneSheetHeaders].flatMap((list) =>
      Object.values(list).flat(),
    ),
  ),
  ...wordsOf(Object.values(codeWords).flatMap((codes) => Object.values(codes))),
  ...wordsOf(
    Object.values(sheetFields).flatMap((fields) =>
      fields.flatMap((field) => [field.name, field.description, ...(field.codes ?? [])]),
    ),
  ),
])

/** Endings of plain words in the six languages that surnames and given names hardly have. */
const endings =
  /(?:tion|tions|sion|ment|ments|ness|able|ible|ology|ography|graph|scope|ism|ismus|ung|ungen|keit|heit|itat|isch|ische|ischer|lich|liche|los|lose|bar|graphie|grafie|ite|ique|iques|ment|euse|eux|elle|age|ages|cion|ciones|sion|dad|idad|mente|ismo|zione|zioni|ta|ita|mento|menti|ico|ica|ici|iche|ato|ata|ati|ate|cao|coes|sao|dade|ado|ada|ados|adas|ido|ida|idos|idas|ura|ale|ali|ed|ing|ings|ic|ics|ical|al|als|ous|ive|ary|ory|krone|schraube|zahn|kiefer|schiene|basis|verlust|bruch|termin|kontrolle|wert|weise|teil|stoff|metall|keramik|plan|pflege|hygiene|studie|dienst|befund|besuch|anfertigung|schmerz|schmerzen|urlaub|unfall|kosten|chirurgie|prothetik)$/

/** Whether a word is one of the trade or of plain notes, and so by itself no name. */
export function isTradeWord(word: string): boolean {
  const plain = plainWord(word)
  return known.has(plain) || (plain.endsWith('s') && known.has(plain.slice(0, -1)))
}

/** Whether a word looks like one of plain speech by its ending. */
export function hasPlainEnding(word: string): boolean {
  const plain = plainWord(word)
  return plain.length >= 6 && endings.test(plain)
}
