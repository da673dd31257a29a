/**
 * Words that practices write for codes, by field and code; lower case, without accents. English, German, French, Spanish,
 * Portuguese and Italian trade wording; common practice, no source. They are proposed in the column map, and the user's
 * word makes them count.
 */
export const codeWords: Readonly<Record<string, Readonly<Record<string, string>>>> = {
  sex: {
    female:
      'f|female|w|woman|weiblich|frau|femme|feminin|femenino|mujer|feminino|mulher|femmina|femminile|donna|fem',
    male: 'm|male|man|mannlich|mann|homme|masculin|masculino|hombre|varon|homem|maschio|maschile|uomo|masc|h',
    other: 'other|d|x|divers|autre|otro|outro|altro|non binary|diverse',
  },
  restoration_type: {
    single_crown:
      'single crown|single|crown|sc|einzelkrone|krone|ek|couronne unitaire|couronne|unitaire|corona unitaria|corona individual|corona|unitaria|coroa unitaria|coroa|unitario|corona singola|singola|implant crown|implantatkrone',
    splinted_crowns:
      'splinted crowns|splinted|verblockte kronen|verblockt|couronnes solidarisees|couronnes jumelees|solidarisees|coronas ferulizadas|ferulizadas|coroas esplintadas|coroas ferulizadas|esplintadas|corone splintate|corone solidarizzate|splintate',
    fixed_partial:
      'fixed partial|fixed partial denture|fpd|bridge|brucke|implantatbrucke|pont|bridge implantaire|puente|ponte|ponte fixa|protesi parziale fissa|ponte su impianti',
    fixed_partial_cantilever:
      'cantilever bridge|cantilever|cantilever fpd|freiendbrucke|extensionsbrucke|bridge en extension|pont cantilever|puente en voladizo|puente con cantilever|ponte com cantilever|ponte em extensao|ponte in estensione|ponte con cantilever',
    full_arch:
      'full arch|full arch bridge|full mouth|zirkular|zirkulare brucke|ganzer kiefer|arcade complete|bridge complet|arcada completa|rehabilitacion completa|arcada total|arcata completa|full arch fisso',
  },
  retention_mode: {
    screw:
      'screw|screwed|screw retained|s|verschraubt|geschraubt|vissee|visse|transvissee|atornillada|atornillado|tornillo|aparafusada|aparafusado|parafusada|avvitata|avvitato|vite',
    cement:
      'cement|cemented|cement retained|c|zementiert|scellee|scelle|cimentee|cementada|cementado|cimentada|cimentado|cementata|cementato|z',
    screw_and_cement:
      'screw and cement|screw cement|screwmented|both|verschraubt und zementiert|hybrid|vissee et scellee|atornillada y cementada|aparafusada e cimentada|avvitata e cementata|screw cemented',
  },
  connection: {
    external_hex:
      'external hex|external hexagon|ext hex|eh|aussensechskant|hexagone externe|hex externe|hexagono externo|esagono esterno|external',
    external_other:
      'external other|other external|aussenverbindung|connexion externe autre|externa otra|externa outra|esterna altra',
    internal_hex:
      'internal hex|internal hexagon|int hex|ih|innensechskant|hexagone interne|hex interne|hexagono interno|esagono interno|internal',
    internal_other:
      'internal other|other internal|innenverbindung|trilobe|tri lobe|octagon|internal octagon|connexion interne autre|interna otra|interna outra|interna altra',
    conical:
      'conical|cone|morse|morse taper|morse cone|taper|konisch|konus|konusverbindung|conique|cone morse|conica|conico|cono morse|connessione conometrica|conometrica',
    screwless: 'screwless|no screw|friction|schraubenlos|sans vis|sin tornillo|sem parafuso|senza vite',
  },
  abutment_origin: {
    stock_titanium:
      'stock|stock titanium|standard|prefabricated|prefabricated titanium|konfektioniert|standardabutment|standard titane|prefabrique|pilier standard|prefabricado|estandar|pre fabricado|padrao|prefabbricato|standard titanio',
    milled_titanium:
      'milled|milled titanium|custom titanium|cad cam titanium|gefrast|individuell titan|titan individuell|usine titane|titane usine|fresado titanio|titanio fresado|titanio personalizado|titanio fresato|fresato',
    titanium_base:
      'titanium base|ti base|tibase|bonding base|titanbasis|klebebasis|base titane|embase titane|base de titanio|base titanio|ti basis',
    cast_gold:
      'cast gold|gold|cast|ucla|goldabutment|gegossen|or coule|or|oro colado|colado|ouro fundido|fundido|oro fuso|fuso',
    zirconia: 'zirconia|zirconium|zirkon|zirkonoxid|zircone|circonio|zirconio|zirconia abutment|circona',
    other: 'other|andere|sonstige|autre|otro|otros|outro|altro',
  },
  crown_material: {
    metal_ceramic:
      'metal ceramic|pfm|porcelain fused to metal|mc|metallkeramik|vmk|verblendmetallkeramik|ceramo metallique|metalloceramique|metal ceramica|metaloceramica|metalo ceramica|metallo ceramica|metalloceramica',
    veneered_zirconia:
      'veneered zirconia|layered zirconia|pfz|zirkon verblendet|verblendete zirkonkrone|zircone stratifiee|zircone stratifie|zirconia estratificada|circonio estratificado|zirconia stratificata',
    monolithic_zirconia:
      'monolithic zirconia|zirconia|full zirconia|monozir|zirkon monolithisch|monolithisches zirkon|zirkon|vollzirkon|zircone monolithique|zircone|zirconia monolitica|circonio monolitico|circonio|zirconio monolitico|zirconio',
    lithium_disilicate:
      'lithium disilicate|lithiumdisilikat|ld|disilicate de lithium|disilicato de litio|disilicato di litio|lisi',
    resin_composite:
      'resin composite|composite|resin|komposit|kunststoff komposit|resine composite|resina compuesta|composite hibrido|resina composta|resina composita|composito',
    metal: 'metal|full metal|gold|vollguss|metall|metallique|or|metalica|metalico|metallo|oro',
    acrylic: 'acrylic|pmma|acryl|kunststoff|resine acrylique|resine|acrilico|acrilica|resina acrilica|resina',
    other: 'other|andere|sonstige|autre|otro|outro|altro',
  },
  screw_material: {
    titanium_alloy:
      'titanium|titanium alloy|ti|titan|titanlegierung|titane|alliage de titane|titanio|aleacion de titanio|liga de titanio|lega di titanio',
    gold_alloy:
      'gold|gold alloy|au|goldlegierung|or|alliage d or|oro|aleacion de oro|ouro|liga de ouro|lega d oro',
    other: 'other|andere|sonstige|autre|otro|outro|altro',
  },
  screw_coating: {
    none: 'none|no|uncoated|keine|ohne|unbeschichtet|aucun|sans|ninguno|sin recubrimiento|nenhum|sem|nessuno|senza',
    carbon: 'carbon|dlc|diamond like carbon|kohlenstoff|carbone|carbono|carbonio',
    gold: 'gold|vergoldet|or|oro|ouro|dore',
    polymer: 'polymer|ptfe|polymere|polimero|teflon',
    other: 'other|andere|sonstige|autre|otro|outro|altro',
  },
  opposing: {
    natural:
      'natural|natural tooth|natural teeth|naturlich|naturlicher zahn|eigener zahn|naturelle|dent naturelle|natural diente|diente natural|dente natural|naturale|dente naturale',
    tooth_restoration:
      'tooth restoration|crown on tooth|restored tooth|uberkront|zahnkrone|dent restauree|couronne sur dent|diente restaurado|corona sobre diente|dente restaurado|coroa sobre dente|dente restaurato|corona su dente',
    implant_fixed:
      'implant|implant fixed|implant crown|implantat|implantatkrone|implant fixe|implante|sobre implante|impianto|su impianto',
    removable:
      'removable|denture|partial denture|prothese|herausnehmbar|teilprothese|amovible|removible|protesis removible|dentadura|protese removivel|rimovibile|protesi rimovibile',
    none: 'none|missing|kein|keine|fehlt|aucun|aucune|ninguno|ausente|nenhum|nessuno|assente',
  },
  occlusal_scheme: {
    canine:
      'canine|canine guidance|canine guided|eckzahnfuhrung|guidage canin|fonction canine|guia canina|guida canina',
    group:
      'group|group function|gruppenfuhrung|fonction de groupe|funcion de grupo|funcao de grupo|funzione di gruppo',
    mutually_protected:
      'mutually protected|gegenseitig geschutzt|protection mutuelle|mutuamente protegida|mutuamente protetta|protezione mutua',
    lingualised: 'lingualised|lingualized|lingualisiert|lingualisee|lingualizada|lingualizzata',
    other: 'other|andere|sonstige|autre|otro|outro|altro',
  },
  bruxism: {
    none: 'none|no|n|nein|kein|keine|non|aucun|no bruxism|ninguno|nao|nenhum|nessuno|0',
    possible: 'possible|maybe|moglich|vielleicht|posible|possivel|possibile',
    probable: 'probable|likely|wahrscheinlich|provavel|probabile',
    definite: 'definite|yes|y|certain|ja|sicher|oui|certain e|si|sim|definitivo|certo|1',
  },
  tightening_group: {
    single:
      'single|once|one|1|1x|einmal|einfach|einmalig|unique|une fois|simple|unico|una vez|uma vez|simples|singolo|una volta|singola',
    repeated:
      'repeated|twice|two|2|2x|double|retightened|retorqued|zweimal|wiederholt|doppelt|nachgezogen|repete|deux fois|resserre|repetido|dos veces|doble|reapretado|duas vezes|duplo|reapertado|ripetuto|due volte|doppio',
    other: 'other|andere|sonstige|autre|otro|outro|altro',
  },
  tightening_reason: {
    period_policy:
      'period policy|policy|protocol change|regel der praxis|protokoll|politique du cabinet|politica|protocolo da clinica|politica dello studio',
    operator_choice:
      'operator choice|choice|wahl des behandlers|choix du praticien|eleccion del operador|escolha do operador|scelta dell operatore',
    manufacturer_instruction:
      'manufacturer|manufacturer instruction|instructions|ifu|herstellerangabe|hersteller|fabricant|fabricante|produttore|instrucciones del fabricante',
    random: 'random|randomised|randomized|zufallig|randomisiert|aleatoire|aleatorio|casuale|randomizzato',
    other: 'other|andere|sonstige|autre|otro|outro|altro',
  },
  context: {
    delivery: 'delivery|insertion|eingliederung|pose|entrega|consegna|posa',
    recall_check: 'recall|recall check|check|kontrolle|controle|control|revision|controlo|controllo|richiamo',
    after_loosening:
      'after loosening|loosening|nach lockerung|lockerung|apres devissage|tras aflojamiento|apos afrouxamento|dopo allentamento',
    replacement:
      'replacement|screw replacement|austausch|schraubenwechsel|remplacement|reemplazo|sustitucion|substituicao|sostituzione',
    try_in: 'try in|tryin|einprobe|anprobe|essayage|prueba|prova',
  },
  action: {
    tighten:
      'tighten|tightened|anziehen|festziehen|serrer|serrage|apretar|apriete|apertar|aperto|serrare|serraggio',
    tighten_again:
      'tighten again|retighten|retightening|retorque|nachziehen|resserrer|resserrage|reapretar|reapriete|reapertar|reaperto|riserrare|riserraggio',
    undo_then_tighten:
      'undo then tighten|undo and tighten|loosen and tighten|losen und anziehen|desserrer puis serrer|aflojar y apretar|soltar e apertar|svitare e serrare',
    removal_measurement:
      'removal measurement|removal torque|losemoment messen|mesure de devissage|medicion de remocion|medicao de remocao|misura di svitamento',
  },
  device_type: {
    beam: 'beam|beam type|biegebalken|a lame|viga|haste|a barra',
    toggle: 'toggle|friction|click|knickschlussel|a declenchement|clic|catraca|a scatto',
    electronic: 'electronic|elektronisch|electronique|electronico|eletronico|elettronico',
    handpiece: 'handpiece|winkelstuck|contre angle|contraangulo|contra angulo|contrangolo',
    hand: 'hand|by hand|manual|handfest|von hand|manuel|a mano|manuale',
  },
  screw_status: {
    new: 'new|neu|neuve|nuevo|novo|nuova|nuovo',
    reused:
      'reused|re used|used|old|wiederverwendet|gebraucht|reutilisee|usagee|reutilizado|usado|riutilizzata|usata',
  },
  lubrication: {
    dry: 'dry|trocken|sec|seche|seco|asciutto|secca',
    saliva: 'saliva|speichel|salive',
    blood: 'blood|blut|sang|sangre|sangue',
    chlorhexidine: 'chlorhexidine|chx|chlorhexidin|clorhexidina|clorexidina',
    gel: 'gel',
    other: 'other|andere|sonstige|autre|otro|outro|altro',
  },
  visit_type: {
    scheduled:
      'scheduled|recall|planned|routine|geplant|prevu|programme|programada|programado|planeada|rotina|programmata|programmato|richiamo',
    unscheduled:
      'unscheduled|emergency|unplanned|notfall|ungeplant|urgence|non prevu|urgencia|no programada|nao programada|urgenza|non programmata',
    records_only: 'records only|records|chart only|akte|aktenlage|dossier|historia|ficha|cartella',
    telephone: 'telephone|phone|call|telefon|telefonisch|telefono|telefonico|telefone',
  },
  check_method: {
    mobility: 'mobility|mobility test|beweglichkeit|mobilite|movilidad|mobilidade|mobilita',
    torque: 'torque|torque check|drehmoment|couple|apriete|aperto|coppia',
    radiograph: 'radiograph|x ray|rontgen|radio|radiographie|radiografia|rx',
    occlusion_only: 'occlusion|occlusion only|okklusion|oclusion|oclusao|occlusione',
  },
  finding: {
    none: 'none|no|nothing|ok|nad|nil|in order|no complication|no complications|o b|ob|ohne befund|o k|keine|kein befund|in ordnung|unauffallig|ras|aucun|aucune|rien|rien a signaler|sin hallazgos|ninguno|ninguna|sin complicaciones|normal|bien|sem achados|nenhum|nenhuma|sem complicacoes|nessuno|nessuna|nessun reperto|nella norma|tutto ok|fest|tight|stabil|stable',
    screw_loosening:
      'screw loosening|loosening|screw loose|loose|loose screw|sl|abutment screw loose|lockerung|schraubenlockerung|schraube locker|locker|gelockert|devissage|vis desserree|desserrage|vis devissee|aflojamiento|aflojamiento de tornillo|tornillo flojo|flojo|afrouxamento|afrouxamento do parafuso|parafuso solto|parafuso frouxo|solto|allentamento|allentamento della vite|allentamento vite|svitamento|vite allentata|vite svitata',
    screw_fracture:
      'screw fracture|broken screw|fractured screw|screw broken|schraubenbruch|schraubenfraktur|schraube gebrochen|fracture de vis|vis fracturee|vis cassee|fractura de tornillo|tornillo fracturado|tornillo roto|fratura do parafuso|parafuso fraturado|parafuso partido|frattura della vite|frattura vite|vite fratturata|vite rotta',
    abutment_fracture:
      'abutment fracture|broken abutment|abutmentfraktur|abutmentbruch|fracture du pilier|fractura del pilar|fratura do pilar|frattura abutment|frattura del moncone',
    loss_of_retention:
      'loss of retention|decementation|debonded|debonding|decemented|uncemented|retentionsverlust|dezementiert|dezementierung|descellement|decellement|perte de retention|decementacion|descementacion|perdida de retencion|descimentacao|perda de retencao|decementazione|perdita di ritenzione',
    veneer_chipping:
      'chipping|veneer chipping|chip|ceramic chipping|veneer fracture|porcelain fracture|abplatzung|verblendfraktur|keramikabplatzung|chipping keramik|eclat de ceramique|fracture de la ceramique|fracture ceramique|desconchado|fractura de ceramica|fractura de porcelana|lascamento|fratura da ceramica|fratura de porcelana|scheggiatura|frattura della ceramica',
    framework_fracture:
      'framework fracture|broken framework|gerustfraktur|gerustbruch|fracture de l armature|fracture armature|fractura de la estructura|fractura de estructura|fratura da infraestrutura|fratura da estrutura|frattura della struttura|frattura struttura',
    access_filling_loss:
      'access filling loss|filling lost|loss of access filling|access hole filling lost|verschluss verloren|fullungsverlust|verlust des verschlusses|perte de l obturation|perte de l obturation du puits|perdida de la obturacion|perdida de obturacion|perda da obturacao|perda da restauracao do acesso|perdita dell otturazione',
    implant_loss:
      'implant loss|implant lost|implant failure|implantatverlust|implantat verloren|perte de l implant|perte implant|echec implantaire|perdida del implante|perdida de implante|fracaso del implante|perda do implante|perda de implante|perdita dell impianto|perdita impianto|fallimento implantare',
    other: 'other|andere|sonstige|sonstiges|autre|otro|otra|outro|outra|altro|altra',
  },
  action_taken: {
    tightened:
      'tightened|retightened|torqued|festgezogen|nachgezogen|angezogen|resserree|resserre|serree|apretado|reapretado|apertado|reapertado|serrata|riserrata|serrato',
    screw_replaced:
      'screw replaced|new screw|schraube ersetzt|schraube erneuert|neue schraube|vis remplacee|nouvelle vis|tornillo reemplazado|tornillo cambiado|tornillo nuevo|parafuso substituido|parafuso novo|vite sostituita|nuova vite',
    repaired: 'repaired|polished|repariert|poliert|reparee|repare|reparado|reparada|riparata|riparato',
    remade:
      'remade|new crown|replaced|neu angefertigt|neue krone|refaite|nouvelle couronne|rehecha|corona nueva|refeita|coroa nova|rifatta|nuova corona',
    recemented: 'recemented|rezementiert|wiederbefestigt|rescellee|recementada|recimentada|recementata',
    implant_removed:
      'implant removed|explanted|explantation|implantat entfernt|explantiert|implant depose|implante retirado|explante|implante removido|impianto rimosso|espianto',
    watched:
      'watched|observed|monitored|nothing|beobachtet|surveillance|observacion|vigilado|observado|monitorado|osservato|monitorato',
  },
  restoration_status: {
    in_place:
      'in place|in situ|ok|functioning|in function|in funktion|en place|en bouche|en fonction|en boca|en funcion|em posicao|em boca|em funcao|in sede|in funzione|present|yes',
    in_place_modified:
      'in place modified|modified|modifiziert|in situ modifiziert|en place modifiee|modificada|modificato|modificata',
    removed: 'removed|entfernt|ausgegliedert|deposee|retirada|removida|rimossa|rimosso',
    lost: 'lost|failed|verloren|perdue|perdida|perdida total|persa|perduta',
  },
  removal_reason: {
    complication: 'complication|komplikation|complicacion|complicacao|complicanza|fracture|fraktur',
    elective:
      'elective|planned|patient wish|elektiv|geplant|patientenwunsch|electif|choix du patient|electivo|eletivo|elettivo|scelta del paziente',
    implant_loss:
      'implant loss|implant lost|implantatverlust|perte de l implant|perdida del implante|perda do implante|perdita dell impianto',
    other: 'other|andere|sonstige|autre|otro|outro|altro',
  },
  patient_status: {
    active: 'active|aktiv|actif|activo|ativo|attivo',
    moved: 'moved|moved away|verzogen|umgezogen|demenage|mudado|mudou se|se mudo|trasferito',
    declined:
      'declined|refused|does not attend|abgelehnt|verweigert|refuse|rechazado|recusou|rifiutato|no acude',
    deceased: 'deceased|died|dead|verstorben|gestorben|decede|fallecido|falecido|deceduto',
  },
  severity: {
    minor: 'minor|mild|leicht|gering|mineur|mineure|leve|menor|lieve|minore',
    moderate: 'moderate|mittel|massig|modere|moderee|moderado|moderada|moderato|moderata',
    major: 'major|severe|schwer|erheblich|majeur|majeure|grave|mayor|maior|maggiore',
  },
}

/** Spellings of yes and no that want the user's word, since they may mean something else. */
export const doubtfulYesNo: Readonly<Record<'yes' | 'no', string>> = {
  yes: 'x|1|+|✓|✔|done|performed|erfolgt|gemacht|fait|hecho|feito|fatto|checked|ok|present|vorhanden',
  no: '0|not done|nicht erfolgt|non fait|no hecho|nao feito|non fatto|none|keine|absent',
}
