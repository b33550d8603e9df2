//! The reader of books, and small books.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use stemwise_phrases::{BookError, Fault, Kept, Phrasebook, SPANISH};

const HEAD: &str = r#"language = "es"
[grammar]
the = ["el", "la", "los", "las"]
a = ["un", "una", "unos", "unas"]
and = ["y", "e", "i", "hi", "!hie"]
or = ["o", "u", "o", "ho"]
contractions = [["de", "el", "del"], ["a", "el", "al"]]
[units]
"micron" = "micrones"
"Pa" = "Pa"
"bar" = "bar"
[names]
"drier" = "el filtro"
"valve" = "la válvula"
"inlet valve" = "la válvula de entrada"
"compressor {n#}" = "el compresor {n}"
"ice" = "el hielo"
"island" = "la isla"
"port of {a}" = "la toma de {a}"
"{a}'s inlet" = "la entrada de {+a}"
"{a} of {b}" = "{a} de {+b}"
"#;

fn book(phrases: &str) -> Result<Phrasebook, BookError> {
    Phrasebook::read(&format!("{HEAD}{phrases}"))
}

fn said(phrases: &str, english: &str) -> String {
    book(&format!("[phrases]\n{phrases}")).unwrap().say(english).into_text()
}

fn fault(phrases: &str) -> (usize, Fault) {
    let error = book(&format!("[phrases]\n{phrases}")).unwrap_err();
    (error.line - HEAD.lines().count() - 1, error.fault)
}

#[test]
fn names_take_their_article_from_english_and_contract() {
    let phrases = r#""Open {a} to {b}." = "Abra {a} a {b}.""#;
    assert_eq!(said(phrases, "Open the valve to the drier."), "Abra la válvula al filtro.");
    assert_eq!(said(phrases, "Open a valve to compressor 2."), "Abra una válvula al compresor 2.");
    assert_eq!(said(phrases, "Open the port of the drier to valve."), "Abra la toma del filtro a válvula.");
    assert_eq!(
        said(phrases, "Open the drier's inlet to the valve of compressor 3."),
        "Abra la entrada del filtro a la válvula del compresor 3."
    );
    assert_eq!(said("\"x\" = \"y\"", "The inlet valve"), "La válvula de entrada");
}

#[test]
fn what_agrees_follows_the_name() {
    let phrases = r#""{a} is open." = "{a} {a:está/están} {a:abierto|abierta}.""#;
    assert_eq!(said(phrases, "The drier is open."), "El filtro está abierto.");
    assert_eq!(
        said(phrases, "The valve and the inlet valve is open."),
        "La válvula y la válvula de entrada están abiertas."
    );
    assert_eq!(said(phrases, "The valve and the drier is open."), "La válvula y el filtro están abiertos.");
}

#[test]
fn and_and_or_heed_the_next_sound() {
    let phrases = r#""Look at {a}." = "Mire {a}.""#;
    assert_eq!(said(phrases, "Look at the valve, the drier and ice."), "Mire la válvula, el filtro y hielo.");
    assert_eq!(said(phrases, "Look at the valve and island."), "Mire la válvula e isla.");
    assert_eq!(said(phrases, "Look at the valve or the drier."), "Mire la válvula o el filtro.");
}

#[test]
fn the_most_exact_phrase_wins_whatever_its_place() {
    let phrases =
        "\"Stop {a}.\" = \"Pare {a}.\"\n\"Stop {a} now.\" = \"Pare {a} ya.\"\n\"Stop it.\" = \"Párelo.\"";
    assert_eq!(said(phrases, "Stop the valve now."), "Pare la válvula ya.");
    assert_eq!(said(phrases, "Stop it."), "Párelo.");
    assert_eq!(said(phrases, "Stop it. Stop the drier."), "Párelo. Pare el filtro.");
}

#[test]
fn an_order_and_the_name_of_an_action_are_told_apart_by_the_capital() {
    let phrases = "\"Stop {a}.\" = \"Pare {a}.\"\n\"stop {a}\" = \"parar {a}\"";
    assert_eq!(said(phrases, "Stop the drier."), "Pare el filtro.");
    assert_eq!(said(phrases, "stop the drier"), "parar el filtro");
}

#[test]
fn figures_and_units_pass() {
    let phrases = r#""Go to {n#}, not {a}." = "Baje a {n}, no a {a}.""#;
    assert_eq!(
        said(phrases, "Go to 500 micron (67 Pa), not 2.5 bar."),
        "Baje a 500 micrones (67 Pa), no a 2.5 bar."
    );
    let book = book(&format!("[phrases]\n{phrases}")).unwrap();
    assert!(!book.say("Go to the drier, not the valve.").is_whole(), "a figure is wanted");
}

#[test]
fn what_is_unknown_stays_and_is_told() {
    let book = book("[phrases]\n\"Open {a}.\" = \"Abra {a}.\"").unwrap();
    let named = book.say("Open the Frigo Norte.");
    assert_eq!(named.text(), "Abra el Frigo Norte.");
    assert!(named.is_whole());
    assert_eq!(
        named.kept().iter().map(|(at, kept)| (&named.text()[at.clone()], *kept)).collect::<Vec<_>>(),
        [("Frigo Norte", Kept::AsTyped)]
    );
    let partly = book.say("Open the valve. Nobody translated this.");
    assert_eq!(
        partly.parts().collect::<Vec<_>>(),
        [("Abra la válvula. ", false), ("Nobody translated this.", true)]
    );
    assert_eq!(book.say_name("Frigo Norte").kept()[0].1, Kept::AsTyped);
    assert_eq!(book.say("").text(), "");
    assert_eq!(book.say(" \n. ").text(), " \n. ");
}

#[test]
fn faults_are_told_with_their_line() {
    assert_eq!(fault("\"a {x}\" = \"b\""), (1, Fault::GapUnused { gap: "x".into() }));
    assert_eq!(fault("\"a\" = \"b {x}\""), (1, Fault::GapUnknown { gap: "x".into() }));
    assert_eq!(fault("\"a {x}\" = \"{x} {x}\""), (1, Fault::GapTwice { gap: "x".into() }));
    assert_eq!(fault("\"a {x} {x}\" = \"{x}\""), (1, Fault::GapTwice { gap: "x".into() }));
    assert_eq!(fault("\"a {x}{y}\" = \"{x}{y}\""), (1, Fault::Adjacent { gap: "y".into() }));
    assert_eq!(fault("\"a {x\" = \"b\""), (1, Fault::Brace { text: "a {x".into() }));
    assert_eq!(fault("\"a {!}\" = \"b\""), (1, Fault::GapName { gap: "!".into() }));
    assert_eq!(
        fault("\"a\" = \"b\"\n\"One. Two.\" = \"Uno.\""),
        (2, Fault::Sentences { english: 2, other: 1 })
    );
    assert_eq!(fault("\"a\" = \"\""), (1, Fault::Empty));
    assert_eq!(fault("\"{x}\" = \"{x}\""), (1, Fault::Empty));
    assert!(matches!(fault("\"a\" = 3"), (1, Fault::NoPlace { .. })));
    assert!(matches!(fault("\"a\" = \"b\"\n\"a\" = \"c\""), (2, Fault::NotToml { .. })));
    let error = book("[dreams]\n").unwrap_err();
    assert!(matches!(error.fault, Fault::NoPlace { .. }));
    let error = Phrasebook::read("language = \"es\"\n[names]\n\"drier\" = \"filtro\"\n").unwrap_err();
    assert_eq!((error.line, error.to_string().contains("article")), (3, true));
    assert!(matches!(Phrasebook::read("").unwrap_err().fault, Fault::Missing { key: "language" }));
}

#[test]
fn a_phrase_that_another_shadows_is_refused() {
    let phrases = "\"Open {a} to {b}.\" = \"Abra {a} a {b}.\"\n\"Shut it.\" = \"Ciérrelo.\"\n\"Open {x} to {y}\" = \"Abra {x} hasta {y}\"";
    assert_eq!(
        fault(phrases),
        (3, Fault::Shadowed { english: "open {x} to {y}".into(), line: HEAD.lines().count() + 2 })
    );
}

#[test]
fn no_text_takes_long() {
    let book = Phrasebook::read(SPANISH).unwrap();
    // Whatever is typed: every word is a beginning, every place a gap.
    for word in
        ["the cap of ", "a and b or ", "; the ", ": (", "x, ", "Step 1: ", "\"", "{a} ", "1 bar. A", "is "]
    {
        let long = word.repeat(2000 / word.len());
        let text = book.say(&long).into_text();
        assert!(text.len() >= long.len() / 4);
    }
}

#[test]
fn a_page_keeps_its_markup() {
    let book = Phrasebook::read(SPANISH).unwrap();
    let page = "<!doctype html><html lang=\"en\"><head><style>p{color:red}</style></head><body><img alt=\"the drier\"><p>Cylinder &lt;A&amp;B&gt; weighed: 3 kg</p></body></html>";
    let said = book.say_markup(page);
    assert!(
        said.contains("lang=\"es\"")
            && said.contains("p{color:red}")
            && said.contains("alt=\"el filtro deshidratador\""),
        "{said}"
    );
    assert!(said.contains("Cilindro &lt;A&amp;B&gt; pesado: 3 kg"), "{said}");
}
