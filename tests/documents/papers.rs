//! The three papers: same bytes, texts that agree with the figures, pages that follow one another, hostile names.

mod tern_house;

use std::fs;
use std::path::Path;
use std::path::PathBuf;
use std::process::Command;

use proptest::prelude::ProptestConfig;
use proptest::prelude::any;
use proptest::prop_assert;
use proptest::proptest;

use rungwright::documents::html;
use rungwright::documents::page::Block;
use rungwright::documents::page::Cell;
use rungwright::documents::page::Column;
use rungwright::documents::page::Page;
use rungwright::documents::page::Pair;
use rungwright::documents::page::Table;
use rungwright::documents::paper::InstallationSheet;
use rungwright::documents::paper::Paper;
use rungwright::documents::paper::QuotePaper;
use rungwright::documents::paper::quote::QuoteRoom;
use rungwright::documents::pdf;
use rungwright::documents::plain_text::TEXT_CHARACTERS_MAX;
use rungwright::domain::money::Currency;

/// Where papers are put for whoever wants to look at them.
fn folder() -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("papers");
    fs::create_dir_all(&folder).unwrap();
    folder
}

/// Whether the PDF readers of poppler-utils are there. In CI they must be; a bare machine goes without this second look,
/// and says so.
#[expect(clippy::print_stderr, reason = "what was not checked must be seen")]
fn can_read_back() -> bool {
    let is_there = Command::new("pdftotext").arg("-v").output().is_ok();
    assert!(is_there || std::env::var_os("CI").is_none(), "CI needs pdftotext of poppler-utils");
    if !is_there {
        eprintln!(
            "NOT CHECKED: pdftotext of poppler-utils is not installed, so no PDF was read back"
        );
    }
    is_there
}

/// The text of a PDF by pdftotext (poppler-utils), which knows nothing of how it was made.
fn extracted(name: &str, paper: &impl Paper) -> String {
    let file = folder().join(name).with_extension("pdf");
    fs::write(&file, paper.pdf().unwrap()).unwrap();
    fs::write(file.with_extension("html"), paper.html()).unwrap();
    let out = Command::new("pdftotext").args(["-layout"]).arg(&file).arg("-").output();
    let out = out.unwrap_or_else(|cause| panic!("pdftotext of poppler-utils is needed: {cause}"));
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    String::from_utf8(out.stdout).unwrap()
}

/// Text without line ends, so that a sentence is found however it was broken.
fn flowing(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn the_same_paper_is_the_same_bytes() {
    let papers: [&dyn Paper; 3] =
        [&tern_house::quote(), &tern_house::installation(), &tern_house::care()];
    for paper in papers {
        assert_eq!(paper.pdf().unwrap(), paper.pdf().unwrap());
        assert_eq!(paper.html(), paper.html());
    }
}

#[test]
fn text_and_figures_of_html_and_pdf_are_those_of_the_quote() {
    let quote = tern_house::quote();
    if !can_read_back() {
        return;
    }
    let text = flowing(&extracted("totals", &quote));
    let html = quote.html();
    let format = |amount| format!("GBP {}", Currency::GBP.format(amount));
    let totals = &quote.totals;
    assert_eq!(totals.gross, totals.net.plus(totals.tax).unwrap());
    for amount in [totals.lines, totals.net, totals.tax, totals.gross].map(format) {
        assert!(text.contains(&amount), "{amount} is not in\n{text}");
        assert!(html.contains(&amount), "{amount}");
    }
    assert!(text.contains(&format!("Total to pay {}", format(totals.gross))), "{text}");
    for line in quote.rooms.iter().flat_map(|room| &room.lines) {
        assert!(html.contains(&line.sku), "{}", line.sku);
        assert!(text.contains(&Currency::GBP.format(line.net)));
    }
}

fn long_quote(count: u32) -> QuotePaper {
    let line = |number: u32| {
        let name =
            format!("Part number {number} with a name that does not fit on one line of its column");
        tern_house::line(&format!("SRW-X-{number:05}"), &name, [1, 1_000], "asked for")
    };
    let lines = (1..=count).map(line).collect();
    let room = QuoteRoom { name: "All rooms".to_owned(), lines, ..QuoteRoom::default() };
    tern_house::quote_of(vec![room])
}

#[test]
fn sixty_lines_flow_over_pages_and_each_page_repeats_the_heading() {
    check_flow("sixty", 60);
}

#[test]
fn five_thousand_lines_flow_over_pages() {
    check_flow("five-thousand", 5_000);
}

fn check_flow(name: &str, count: u32) {
    if !can_read_back() {
        return;
    }
    let text = extracted(name, &long_quote(count));
    let pages: Vec<&str> = text.trim_end_matches('\u{c}').split('\u{c}').collect();
    assert!(2 < pages.len(), "{} pages", pages.len());
    let mut found = 0;
    for (number, page) in (1..).zip(&pages) {
        assert!(
            page.contains(&format!("Page {number} of {}", pages.len())),
            "page {number}:\n{page}"
        );
        let own = page.matches("SRW-X-").count();
        let has_heading = page.contains("Part number") && page.contains("Together");
        assert!(own == 0 || has_heading, "page {number} has lines without a heading:\n{page}");
        found += own;
    }
    assert_eq!(found, usize::try_from(count).unwrap());
    let last = format!("SRW-X-{count:05}");
    assert!(text.contains(&last), "{last}");
}

#[test]
fn text_that_looks_like_markup_is_shown_as_the_text_it_is() {
    let mut quote = tern_house::quote();
    let attack = r#"<script>alert("1")</script> & </td> {{7*7}} \frac"#;
    quote.customer.name = attack.to_owned();
    quote.rooms[0].lines[0].name = attack.to_owned();
    quote.rooms[0].name = attack.to_owned();
    quote.seller.name = r#""; } </style><script>alert(2)</script>"#.to_owned();
    let html = quote.html();
    assert!(!html.contains("<script"), "{html}");
    assert_eq!(html.matches("</style>").count(), 1, "the foot of the page ends no style");
    assert!(html.contains("&lt;script&gt;alert(&quot;1&quot;)&lt;/script&gt; &amp; &lt;/td&gt;"));
    if !can_read_back() {
        return;
    }
    let text = flowing(&extracted("markup", &quote));
    assert!(text.contains(r#"<script>alert("1")</script> & </td> {{7*7}} \frac"#), "{text}");
}

#[test]
fn names_of_any_script_and_length_are_printed_whole() {
    let mut quote = tern_house::quote();
    quote.customer.name = "בית השחפית ‎(Tern House)".to_owned();
    quote.customer.address = vec!["دار الخرشنة 9".to_owned(), "燕鸥之家".to_owned()];
    let long = "Donaudampfschifffahrtselektrizitätenhauptbetriebswerkbauunterbeamtengesellschaft"
        .repeat(3);
    quote.customer.reference = Some(long.clone());
    quote.rooms[0].name = "Room\u{0}\u{7}\u{1b}[31m \u{202e}7".to_owned();
    if !can_read_back() {
        return;
    }
    let text = extracted("scripts", &quote);
    let gathered: String = text.chars().filter(|sign| !sign.is_whitespace()).collect();
    assert!(gathered.contains(&long), "{text}");
    assert!(text.contains("燕鸥之家"), "letters without a font keep their text:\n{text}");
    for letters in ["השחפית", "الخرشنة"] {
        let reversed: String = letters.chars().rev().collect();
        let is_there = gathered.contains(letters) || gathered.contains(&reversed);
        assert!(is_there, "{letters}:\n{text}");
    }
    let html = quote.html();
    for sign in ['\u{0}', '\u{7}', '\u{1b}', '\u{202e}', '\u{200e}'] {
        assert!(!text.contains(sign) && !html.contains(sign), "{sign:?}");
    }
    assert!(html.contains("<bdi>Room [31m 7</bdi>"), "controls become spaces");
}

fn page_of(text: &str) -> Page {
    let cell = || Cell::text(text);
    Page {
        title: text.to_owned(),
        subtitle: text.to_owned(),
        sender: vec![text.to_owned()],
        footer: text.to_owned(),
        blocks: vec![
            Block::Heading(text.to_owned()),
            Block::Paragraph(text.to_owned()),
            Block::Pairs(vec![Pair::new(text, text)]),
            Block::Table(Table {
                caption: text.to_owned(),
                columns: vec![Column::text(text, 1.0), Column::amount(text, 0.2)],
                rows: vec![vec![cell(), cell()], Vec::new()],
            }),
        ],
    }
}

#[test]
fn a_text_longer_than_a_sheet_in_a_narrow_column_is_continued() {
    let words: Vec<String> = (0..900).map(|number| format!("w{number}")).collect();
    let text = words.join(" ");
    let short: String = text.chars().take(TEXT_CHARACTERS_MAX).collect();
    let file = folder().join("narrow.pdf");
    fs::write(&file, pdf::render(&page_of(&text)).unwrap()).unwrap();
    if !can_read_back() {
        return;
    }
    let out = Command::new("pdftotext").arg(&file).arg("-").output().unwrap();
    let read = String::from_utf8(out.stdout).unwrap();
    let last = short.rsplit(' ').nth(1).unwrap();
    assert!(4 <= read.matches(last).count(), "{last} is to stand in every place:\n{read}");
}

#[test]
fn a_paper_without_a_word_is_still_a_paper() {
    for text in ["", " ", "\u{202e}", "\u{200d}", "\u{fe0f}", "\u{301}"] {
        let bytes = pdf::render(&page_of(text));
        assert!(bytes.is_ok(), "{text:?}: {bytes:?}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn any_text_at_all_gives_a_paper(text in proptest::collection::vec(any::<char>(), 0..60)) {
        let text: String = text.into_iter().collect();
        let page = page_of(&text);
        let bytes = pdf::render(&page).unwrap();
        prop_assert!(bytes.starts_with(b"%PDF-1."));
        let html = html::render(&page);
        prop_assert!(!html.chars().any(|sign| sign.is_control() && sign != '\n'));
    }

    #[test]
    fn any_text_of_a_script_gives_a_paper(text in "[א-ת ء-ي\u{0300}-\u{036f}0-9a-z()\u{200d}\u{fe0f}👩]{0,40}") {
        prop_assert!(pdf::render(&page_of(&text)).is_ok());
    }
}

#[test]
fn what_nobody_stated_is_never_printed_as_allowed() {
    let sheet = InstallationSheet::default();
    if !can_read_back() {
        return;
    }
    let text = flowing(&extracted("nothing-stated", &sheet));
    assert!(10 < text.matches("not stated: ask the maker before you go on").count(), "{text}");
    assert!(text.contains("The zone of each piece is not established"), "{text}");
    assert!(!text.contains("may hang here"), "{text}");
}

#[test]
fn pdf_is_tagged_and_undated_and_carries_its_fonts() {
    if !can_read_back() {
        return;
    }
    extracted("tagged", &tern_house::installation());
    let file = folder().join("tagged.pdf");
    let told = |program: &str| {
        let out = Command::new(program).arg(&file).output().unwrap();
        String::from_utf8(out.stdout).unwrap()
    };
    let information = told("pdfinfo");
    assert!(flowing(&information).contains("Tagged: yes"), "{information}");
    assert!(information.contains("Installation sheet"), "{information}");
    assert!(!information.contains("Date"), "{information}");
    let fonts = told("pdffonts");
    assert!(fonts.contains("NotoSans"), "{fonts}");
    for row in fonts.lines().skip(2) {
        assert!(flowing(row).contains("yes yes yes"), "embedded, a subset, readable: {row}");
    }
}

#[test]
fn html_can_be_heard_and_printed_without_script() {
    let html = tern_house::installation().html();
    for needed in [
        "<html lang=\"en\">",
        "<header>",
        "<main>",
        "<footer>",
        "<th scope=\"col\"",
        "aria-label=\"box to tick\"",
        "<figcaption>",
        "@page { size: A4",
    ] {
        assert!(html.contains(needed), "{needed}");
    }
    assert!(!html.contains("<script") && !html.contains("http"), "it fetches nothing");
}
