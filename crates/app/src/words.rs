//! Everything that the app itself says, in each language side by side, so that none can be forgotten.

/// The languages that the app speaks.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum Language {
    /// English.
    #[default]
    English,
    /// Spanish.
    Spanish,
}

impl Language {
    /// As in `lang` of a page.
    pub(crate) const fn tag(self) -> &'static str {
        match self {
            Self::English => "en",
            Self::Spanish => "es",
        }
    }

    /// The file of the book with which the core speaks it; English it speaks by itself.
    pub(crate) const fn book(self) -> Option<&'static str> {
        match self {
            Self::English => None,
            Self::Spanish => Some("es.toml"),
        }
    }

    /// From such a tag, or one that begins with it ("es-MX").
    pub(crate) fn from_tag(tag: &str) -> Self {
        if tag.starts_with("es") { Self::Spanish } else { Self::English }
    }
}

macro_rules! words {
    ($($(#[$meta:meta])* $word:ident: $english:literal, $spanish:literal;)*) => {
        /// Something that the app says.
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        #[allow(missing_docs)]
        pub(crate) enum Word { $($(#[$meta])* $word),* }

        impl Word {
            /// In a language.
            pub(crate) const fn say(self, language: Language) -> &'static str {
                match language {
                    Language::English => match self { $(Self::$word => $english),* },
                    Language::Spanish => match self { $(Self::$word => $spanish),* },
                }
            }

            /// Every word, for the tests.
            #[cfg(test)]
            pub(crate) const ALL: &[Self] = &[$(Self::$word),*];
        }
    };
}

words! {
    // Everywhere.
    Stemwise: "Stemwise", "Stemwise";
    Back: "Back", "Atrás";
    Close: "Close", "Cerrar";
    Save: "Save", "Guardar";
    Undo: "Take back", "Deshacer";
    StartOver: "Start over", "Empezar de nuevo";
    SeeAgain: "See it again", "Verlo otra vez";
    SeenAgain: "Seen again", "Visto otra vez";
    NextAction: "To the next action", "Hasta la siguiente acción";
    GoOnFromHere: "Go on from here", "Seguir desde aquí";
    SeeHow: "See how it came", "Ver cómo ocurrió";
    ActionsDone: "actions", "acciones";
    Working: "Working it out …", "Calculando …";
    Print: "Print", "Imprimir";
    Settings: "Settings", "Ajustes";
    SkipToContent: "Skip to the content", "Ir al contenido";
    NotFound: "There is nothing here.", "Aquí no hay nada.";
    ToCircuits: "To the circuits", "A los circuitos";
    Invented: "Invented, for practice", "Inventado, para practicar";
    Refrigerant: "Refrigerant", "Refrigerante";
    Charge: "Charge", "Carga";
    Pressure: "Pressure", "Presión";
    Temperature: "Temperature", "Temperatura";
    Mass: "Refrigerant in it", "Refrigerante dentro";
    Liquid: "liquid", "líquido";
    LiquidAndVapour: "liquid and vapour", "líquido y vapor";
    Vapour: "vapour", "vapor";
    Nitrogen: "nitrogen", "nitrógeno";
    Air: "air", "aire";
    Vacuum: "vacuum", "vacío";
    Danger: "Danger", "Peligro";
    Warning: "Warning", "Advertencia";
    Caution: "Mind", "Cuidado";
    NoHazard: "Nothing is wrong with how it stands.", "Nada está mal en cómo está.";
    LocalRules: "Local codes and the maker's instructions come first; the work is for those who are trained and licensed for it.",
        "Los códigos locales y las instrucciones del fabricante van primero; el trabajo es para personas capacitadas y con licencia.";
    Update: "A new version is here.", "Hay una versión nueva.";
    Reload: "Load it now", "Cargarla ahora";
    Later: "Later", "Más tarde";

    // Circuits.
    WhichCircuit: "Which circuit?", "¿Qué circuito?";
    Examples: "Examples", "Ejemplos";
    YourCircuits: "Your circuits", "Tus circuitos";
    NoneYet: "None yet. Build one from its nameplate, or open a circuit file.",
        "Aún ninguno. Arma uno desde su placa, o abre un archivo de circuito.";
    BuildOne: "Build a circuit", "Armar un circuito";
    OpenFile: "Open a file", "Abrir un archivo";
    SaveFile: "Save as a file", "Guardar como archivo";
    Delete: "Delete", "Borrar";
    DeleteSure: "Delete this circuit from this device?", "¿Borrar este circuito de este dispositivo?";
    JobsUnderWay: "Jobs under way", "Trabajos en curso";

    // The screens of a circuit; each answers a question.
    Look: "Look", "Mirar";
    Plan: "Plan", "Planear";
    Rehearse: "Rehearse", "Ensayar";
    CarryOut: "Carry out", "Ejecutar";
    Measure: "Measure", "Medir";
    Teach: "Teach", "Enseñar";
    Change: "Change", "Cambiar";
    WhatIsJoined: "What is joined now?", "¿Qué está unido ahora?";
    HowIsItDone: "How is the job done?", "¿Cómo se hace el trabajo?";
    WhatHappensIf: "What happens if …?", "¿Qué pasa si …?";
    WhatComesNext: "What comes next?", "¿Qué sigue?";
    WhoKnows: "Who knows?", "¿Quién sabe?";
    WhatIsThere: "What is there?", "¿Qué hay?";

    // The drawing.
    Smaller: "Smaller", "Más pequeño";
    Larger: "Larger", "Más grande";
    TurnsOff: "turns off the back seat, or from open", "vueltas desde el asiento trasero, o desde abierta";

    FindThing: "Find", "Buscar";
    Section: "Section", "Sección";
    AllOfIt: "all of it", "todo";

    // Look.
    SystemRuns: "The system runs", "El sistema funciona";
    SystemStands: "The system stands", "El sistema está parado";
    TouchSomething: "Touch a valve, a port or a pipe. What is joined to it lights up.",
        "Toca una válvula, una toma o un tubo. Lo que está unido se ilumina.";
    Valves: "Valves", "Válvulas";
    Ports: "Ports", "Tomas";
    Spaces: "Spaces", "Espacios";
    JoinedTo: "Joined to", "Unido a";
    JoinedToNothing: "Joined to nothing else.", "No está unido a nada más.";
    CapOn: "Put the cap on", "Poner la tapa";
    CapOff: "Take the cap off", "Quitar la tapa";
    EaseNut: "Ease the packing nut", "Aflojar la tuerca prensaestopas";
    TightenNut: "Tighten the packing nut", "Apretar la tuerca prensaestopas";
    LowHoseOn: "Low-side hose on", "Conectar manguera de baja";
    HighHoseOn: "High-side hose on", "Conectar manguera de alta";
    HoseOff: "Hose off", "Quitar manguera";
    PullCore: "Pull the core, with the tool", "Sacar el óbus, con la herramienta";
    CoreBack: "Put the core back", "Poner el óbus";
    StartIt: "Start", "Arrancar";
    StopIt: "Stop", "Parar";
    HoldOpen: "Hold open with a magnet", "Mantener abierta con imán";
    LetGo: "Let go", "Soltar";
    LockOut: "Lock out", "Bloquear";
    OtherActions: "Gas, refrigerant, leaks", "Gas, refrigerante, fugas";
    HowMuch: "How much, with its unit", "Cuánto, con su unidad";
    DoIt: "Do it", "Hacerlo";
    NitrogenIn: "Nitrogen in, to a pressure", "Nitrógeno adentro, hasta una presión";
    NitrogenOut: "Nitrogen out, to a pressure", "Nitrógeno afuera, hasta una presión";
    EvacuateTo: "Evacuate, to a vacuum", "Evacuar, hasta un vacío";
    ChargeLiquid: "Charge as liquid", "Cargar como líquido";
    ChargeVapour: "Charge as vapour", "Cargar como vapor";
    AddOil: "Add oil", "Agregar aceite";
    WaitMinutes: "Wait, minutes", "Esperar, minutos";
    ReadGauges: "Read the gauges", "Leer los manómetros";
    PurgeHose: "Purge the centre hose on the cylinder", "Purgar la manguera central en el cilindro";
    SearchLeaks: "Search for leaks", "Buscar fugas";
    OpenOrClose: "Open it to work on it, or close it", "Abrirla para trabajar en ella, o cerrarla";
    OpenUp: "Open it up", "Abrirla";
    CloseUp: "Close it up", "Cerrarla";
    WithFlame: "with a flame", "con llama";
    RestorePower: "Restore power", "Restablecer la energía";
    NextTurn: "The next turn", "La próxima vuelta";
    BackSeated: "back-seated", "asiento trasero";
    Cracked: "cracked", "apenas abierta";
    MidSeated: "mid-seated", "posición media";
    FrontSeated: "front-seated", "asiento delantero";
    Open: "open", "abierta";
    Shut: "shut", "cerrada";
    Gauges: "Gauges", "Manómetros";
    NoGauge: "No hose is on a port.", "No hay manguera en ninguna toma.";
    ReadsNothing: "reads nothing of the system", "no lee nada del sistema";
    Done: "Done so far", "Hecho hasta ahora";
    HowToAvoid: "How to avoid it", "Cómo evitarlo";
    Undone: "Not back yet", "Aún no restablecido";
    Rig: "Rig", "Equipo";
    OpenFully: "Turn to", "Girar a";

    // Plan.
    WhichJob: "Which job?", "¿Qué trabajo?";
    NotAtHand: "Not at hand", "No disponible";
    RecoveryMachine: "recovery machine", "recuperadora";
    Cylinder: "recovery cylinder", "cilindro de recuperación";
    VacuumPump: "vacuum pump", "bomba de vacío";
    CoreTool: "core removal tool", "herramienta para óbus";
    Cheapest: "What shall be least?", "¿Qué debe ser lo mínimo?";
    CostUsual: "grams that leave, and moves", "gramos que salen, y movimientos";
    CostRefrigerant: "refrigerant", "refrigerante";
    CostTime: "time", "tiempo";
    CostTurns: "stem turns", "vueltas de vástago";
    FindTheWay: "Find the way", "Buscar la manera";
    TheWay: "The way", "La manera";
    Price: "What it costs", "Lo que cuesta";
    Recovered: "recovered", "recuperado";
    Lost: "lost", "perdido";
    Moves: "stem moves", "movimientos de vástago";
    Minutes: "min", "min";
    Best: "Proved: nothing is cheaper.", "Demostrado: nada es más barato.";
    BestTried: "The best of the ways that were tried.", "La mejor de las maneras probadas.";
    WithinGrams: "At most this far from the best:", "A lo más así de lejos de lo mejor:";
    Bring: "Bring", "Llevar";
    ReadFirst: "Read first", "Leer primero";
    OtherWays: "Other ways", "Otras maneras";
    NoWay: "There is no safe way.", "No hay manera segura.";
    WouldHelp: "What would help", "Qué ayudaría";
    Step: "Step", "Paso";
    Of: "of", "de";
    Why: "Why", "Por qué";
    Expect: "Expect", "Esperado";
    HoldPoint: "Hold point", "Punto de espera";
    SlipToFear: "The slip to fear", "El error a temer";
    Next: "Next", "Siguiente";
    Previous: "Previous", "Anterior";
    ShowSlips: "Look for slips", "Buscar errores";
    Edit: "Edit", "Editar";
    EditHint: "Move, cut or write steps; the verdict follows at once.",
        "Mueve, corta o escribe pasos; el veredicto llega de inmediato.";
    AcceptedWithWarnings: "Accepted, but mind these steps", "Aceptado, pero atienda estos pasos";
    Accepted: "Accepted: every rule holds in every state.", "Aceptado: cada regla se cumple en cada estado.";
    NotAccepted: "Not accepted", "No aceptado";
    StartCarrying: "Carry it out", "Ejecutarlo";
    Name: "Name", "Nombre";
    Date: "Date", "Fecha";
    Site: "Site", "Sitio";
    Reading: "Reading", "Lectura";
    Initials: "Initials", "Iniciales";
    AllSteps: "All steps", "Todos los pasos";
    StepByStep: "Step by step", "Paso a paso";
    Prepare: "Prepare", "Preparar";
    Isolate: "Isolate", "Aislar";
    Empty: "Empty", "Vaciar";
    Work: "Work", "Trabajar";
    Prove: "Prove tight", "Probar hermeticidad";
    Dry: "Dry", "Secar";
    Refill: "Refill", "Rellenar";
    Return: "Return to normal", "Volver a lo normal";

    // Change.
    ByPieces: "Piece by piece", "Pieza por pieza";
    AsFile: "As a file", "Como archivo";
    SaveCopy: "Save a copy of your own", "Guardar una copia propia";
    FileIsGood: "The circuit can be used.", "El circuito se puede usar.";
    FileIsNot: "Not yet: mend what is marked.", "Aún no: corrige lo marcado.";
    Nameplate: "From the nameplate", "De la placa";
    Capacity: "Refrigerating capacity", "Capacidad frigorífica";
    Altitude: "Height above the sea", "Altura sobre el mar";
    DesignHigh: "Design pressure, high side", "Presión de diseño, lado de alta";
    DesignLow: "Design pressure, low side", "Presión de diseño, lado de baja";
    Remark: "Remark", "Observación";
    Places: "Places", "Lugares";
    Place: "Where", "Dónde";
    UsualTemperature: "Usual temperature", "Temperatura usual";
    Coldest: "Coldest", "La más fría";
    Hottest: "Hottest", "La más caliente";
    AddPlace: "Another place", "Otro lugar";
    AlongThePipe: "Along the pipe", "A lo largo del tubo";
    AlongHint: "Begin at the compressor's discharge and walk with the flow until you are back at its suction.",
        "Empieza en la descarga del compresor y sigue el flujo hasta volver a su succión.";
    AddHere: "Something comes here", "Aquí viene algo";
    TakeOut: "Take it out", "Quitarlo";
    More: "More", "Más";
    AddBranch: "A branch", "Una rama";
    Branch: "Branch", "Rama";
    MeetsHere: "Meets here", "Llega aquí";
    Side: "Side", "Lado";
    SitsOn: "Sits on", "Está en";
    PutPortOn: "Access port on it", "Ponerle una toma";
    PutReliefOn: "Relief valve on it", "Ponerle una válvula de alivio";

    // Measure.
    WhatDoReadingsSay: "What do the readings say?", "¿Qué dicen las lecturas?";
    WhatDoesItMean: "What does it mean?", "¿Qué significa?";
    NotSaid: "not said", "sin indicar";
    AfterMinutes: "After … minutes; empty: now", "A los … minutos; vacío: ahora";
    NoteIt: "Note it", "Anotarlo";
    FromLog: "From a logged file", "De un archivo registrado";
    NoColumn: "no such column", "no hay tal columna";
    UnitIfNotInHeader: "Its unit, where the header has none", "Su unidad, si el encabezado no la tiene";
    WhatToDo: "What to do", "Qué hacer";
    Suspects: "What it may be", "Qué puede ser";
    Criteria: "Published criteria", "Criterios publicados";
    WhatFollows: "What follows", "Qué resulta";
    ShouldBe: "should be", "debe ser";
    WhatItRestsOn: "What it rests on", "En qué se basa";
    IntoJob: "Write it into the job", "Escribirlo en el trabajo";
    IsInJob: "It is in the job.", "Está en el trabajo.";
    PrintEvidence: "Print the page of evidence", "Imprimir la hoja de evidencia";

    // Rehearse.
    Speed: "Speed", "Velocidad";
    Pause: "Pause", "Pausa";
    AMinuteOn: "A minute on", "Un minuto más";
    LowGauge: "Low-side gauge", "Manómetro de baja";
    HighGauge: "High-side gauge", "Manómetro de alta";
    CentreHose: "Centre hose", "Manguera central";
    Cooling: "Cooling", "Enfriamiento";
    PowerDrawn: "Power drawn", "Potencia";
    Turns: "runs", "funciona";
    Stands: "stands", "parado";
    Now: "now", "ahora";
    PressureEnthalpy: "Pressure and enthalpy", "Presión y entalpía";
    DrawNow: "Draw it as it is now", "Dibujarlo como está ahora";
    PutFaultIn: "Put a fault in", "Poner una falla";
    WhichFault: "Which fault", "Qué falla";
    Size: "Size", "Tamaño";
    PutIn: "Put it in", "Ponerla";
    FollowProcedure: "Follow a procedure", "Seguir un procedimiento";
    BringIt: "Bring it", "Traerlo";
    DoNextStep: "Do the next step", "Hacer el paso siguiente";
    DoTheRest: "Do all that are left", "Hacer todos los que faltan";
    RehearseIt: "Rehearse it", "Ensayarlo";
    AsExpected: "as expected", "como se espera";
    OnTheWay: "on its way there", "en camino";
    NotAsExpected: "not as expected", "no como se espera";
    CanNotBeDone: "This can't be done.", "Esto no se puede hacer.";
    DidNotEnd: "What it waits for did not come.", "Lo que espera no llegó.";
    Assumed: "Taken by rule, where the file says nothing", "Tomado por regla, donde el archivo no dice nada";

    // Carry out.
    OpenJob: "Open a job file", "Abrir un archivo de trabajo";
    WhoWorks: "Who works", "Quién trabaja";
    ToNext: "To what comes next", "A lo que sigue";
    HowProved: "How it was proved, or why it is passed over", "Cómo se probó, o por qué se omite";
    Proved: "Proved", "Probado";
    PassOver: "Pass over", "Omitir";
    StepIsDone: "Done", "Hecho";
    Otherwise: "It can't be done so", "No se puede hacer así";
    Reason: "Reason", "Motivo";
    HoldStep: "Hold it", "Detenerlo";
    SkipStep: "Skip it", "Saltarlo";
    NotesAndPhotos: "Note or photo", "Nota o foto";
    Note: "Note", "Nota";
    TakePhoto: "Photo", "Foto";
    ReadingLike: "with its unit: 5.2 bar", "con su unidad: 5.2 bar";
    Take: "Take", "Anotar";
    AcceptAnyway: "Accept with this reason", "Aceptar con este motivo";
    PressureAtBegin: "Pressure at the begin", "Presión al inicio";
    PressureAtEnd: "Pressure at the end", "Presión al final";
    TemperatureAtBegin: "Temperature at the begin", "Temperatura al inicio";
    TemperatureAtEnd: "Temperature at the end", "Temperatura al final";
    EndTimer: "End", "Terminar";
    Timer: "Timer", "Temporizador";
    WholeMinutes: "Minutes are a whole number, like 10.", "Los minutos son un número entero, como 10.";
    DecayTest: "Vacuum decay", "Prueba de vacío";
    StandingTest: "Standing pressure", "Presión estática";
    JustWait: "Wait", "Esperar";
    WeighCylinder: "Weigh a cylinder", "Pesar un cilindro";
    WhichCylinder: "Its number or name", "Su número o nombre";
    ItWeighs: "It weighs", "Pesa";
    AccountSoFar: "Refrigerant so far", "Refrigerante hasta ahora";
    Charged: "charged", "cargado";
    Entries: "Everything entered", "Todo lo anotado";
    ExportJob: "Export the job", "Exportar el trabajo";
    ExportHint: "Everything is on this device the moment it is entered. Some phones clear away what a page keeps: export the job before you leave.",
        "Todo queda en este dispositivo al anotarlo. Algunos teléfonos borran lo que guarda una página: exporta el trabajo antes de irte.";
    StillOpen: "Still open", "Aún pendiente";
    CloseJob: "Close the job", "Cerrar el trabajo";

    // Teach.
    Questions: "Questions", "Preguntas";
    Drills: "Drills", "Ejercicios";
    OpenDrill: "Open a drill file", "Abrir un archivo de ejercicio";
    HandOut: "Hand it out", "Repartirlo";
    ScoreIt: "Score it", "Calificarlo";
    AtRest: "Settling at once", "Se asienta al instante";
    ByTheClock: "By the clock", "Con el reloj";
    WhereItWentWrong: "Where it went wrong", "Dónde salió mal";
    OnTheWall: "On the wall", "En la pared";
    Seed: "These questions again: number", "Estas preguntas otra vez: número";
    OtherQuestions: "Other questions", "Otras preguntas";
    HoseOn: "gauge on", "manómetro en";
    YourAnswer: "Your answer", "Tu respuesta";
    Answer: "Answer", "Responder";
    Right: "Right.", "Correcto.";
    Wrong: "Not so.", "No es así.";
    ShowIt: "Show it", "Mostrarlo";
    FullScreen: "Fill the screen", "Llenar la pantalla";

    // Settings.
    Units: "Units", "Unidades";
    UnitsSi: "bar, °C, kg", "bar, °C, kg";
    UnitsIp: "psi, °F, lb", "psi, °F, lb";
    Tongue: "Language", "Idioma";
    Theme: "Light or dark", "Claro u oscuro";
    ThemeAuto: "as the device", "como el dispositivo";
    ThemeLight: "light", "claro";
    ThemeDark: "dark", "oscuro";
    Offline: "Without a network", "Sin red";
    OfflineReady: "Everything is on this device: it works without a network.",
        "Todo está en este dispositivo: funciona sin red.";
    OfflineComing: "Being put on this device …", "Guardándose en este dispositivo …";
    OfflineNot: "Not kept on this device: open it from https or from this very machine (localhost); docs/phone.md says how.",
        "No guardado en este dispositivo: ábrelo por https o desde esta misma máquina (localhost); docs/phone.md dice cómo.";
    StorageKept: "The device has promised to keep what you enter.", "El dispositivo prometió conservar lo que escribes.";
    StorageNotKept: "The device may throw away what you enter when it runs short of room. Export what matters.",
        "El dispositivo puede borrar lo que escribes si le falta espacio. Exporta lo importante.";
    AskToKeep: "Ask the device to keep it", "Pedir al dispositivo que lo conserve";
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_is_there_in_both_languages() {
        let mut same = 0;
        for word in Word::ALL {
            let (english, spanish) = (word.say(Language::English), word.say(Language::Spanish));
            assert!(!english.trim().is_empty() && !spanish.trim().is_empty(), "{word:?}");
            same += usize::from(english == spanish);
        }
        assert!(Word::ALL.len() > 100 && same * 10 < Word::ALL.len(), "{same} words are not translated");
    }

    #[test]
    fn a_tag_with_a_country_is_understood() {
        assert_eq!(Language::from_tag("es-MX"), Language::Spanish);
        assert_eq!(Language::from_tag("de"), Language::English);
        assert_eq!(Language::from_tag(Language::Spanish.tag()), Language::Spanish);
    }
}
