//! Audit of the packed file: that its policy is the one meant, and that nothing in it could reach
//! out where a policy does not look (navigation, opened windows, links, peer connections).
//!
//! It reads the file as bytes, from the outside: it shares no code with the packer but the
//! splitting into blocks, so that a slip there is found here.

use std::io::Read as _;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use lzma_rust2::LzmaReader;
use sha2::{Digest as _, Sha256};

use crate::blocks::{self, Page};
use crate::build::BUDGET;
use crate::columns;
use crate::letters;

/// Words that no part of the file may hold, and why.
const FORBIDDEN: [(&str, &str); 27] = [
    ("RTCPeerConnection", "a policy does not stop peer connections"),
    ("WebTransport", "it connects"),
    ("WebSocket", "it connects"),
    ("EventSource", "it connects"),
    ("sendBeacon", "it connects"),
    ("XMLHttpRequest", "it connects"),
    ("importScripts", "it loads scripts"),
    ("serviceWorker", "it outlives the page"),
    ("new Worker", "a page opened from disk has none"),
    ("window.open", "a policy does not stop opened windows"),
    ("location.assign", "a policy does not stop navigation"),
    ("location.replace", "a policy does not stop navigation"),
    ("location.href =", "a policy does not stop navigation"),
    ("location.href=", "a policy does not stop navigation"),
    ("location =", "a policy does not stop navigation"),
    ("location=", "a policy does not stop navigation"),
    ("preconnect", "it connects"),
    ("dns-prefetch", "it connects"),
    ("prefetch", "it connects"),
    ("localStorage", "another local file can read it"),
    ("sessionStorage", "nothing is stored"),
    ("indexedDB", "nothing is stored"),
    ("document.cookie", "nothing is stored"),
    ("eval(", "text must not become a program"),
    ("new Function", "text must not become a program"),
    ("innerHTML", "text must not become markup"),
    ("insertAdjacentHTML", "text must not become markup"),
];

/// Calls that the glue may not make for the page: each is how a forbidden thing looks there.
const FORBIDDEN_GLUE: [(&str, &str); 8] = [
    (".open(", "a window or a database would be opened"),
    (".location", "the page would be taken elsewhere"),
    (".fetch(", "it connects"),
    (".outerHTML", "text must not become markup"),
    (".write(", "text must not become markup"),
    (".createContextualFragment(", "text must not become markup"),
    (".cookie", "nothing is stored"),
    (".submit(", "a form would be sent"),
];

/// The only addresses that may stand in the file: names of notations. Nothing loads them.
const NAMES_NOT_LINKS: [&str; 6] = [
    "http://www.w3.org/2000/svg",
    "http://www.w3.org/2000/xmlns/",
    "http://www.w3.org/1999/xhtml",
    "http://www.w3.org/1999/xlink",
    "http://www.w3.org/XML/1998/namespace",
    "https://json-schema.org/draft/2020-12/schema",
];

/// Directives of the policy that hold no hashes.
const POLICY: [(&str, &str); 7] = [
    ("default-src", "'none'"),
    ("img-src", "data: blob:"),
    ("connect-src", "'none'"),
    ("base-uri", "'none'"),
    ("form-action", "'none'"),
    ("require-trusted-types-for", "'script'"),
    ("trusted-types", "'none'"),
];

/// The one sleeping call that bindgen writes into every glue. It wakes only where the glue is
/// handed an address; `start.js` hands it a compiled module.
const SLEEPING_FETCH: &str = "module_or_path = fetch(module_or_path);";

/// Most memory for unpacking a block, KiB.
const MOST_KIB: u32 = 64 * 1024;

/// Ids of the blocks that are packed.
const PACKED: [&str; 3] = ["module", "styles", "demo-data"];

/// How the glue begins.
const GLUE: &str = "let wasm_bindgen";

/// Everything that is wrong with a packed file; nothing where all is well.
pub fn audit(html: &str) -> Vec<String> {
    let page = match blocks::take_apart(html) {
        Ok(page) => page,
        Err(sentence) => return vec![sentence],
    };
    let mut findings = Vec::new();
    if html.len() > BUDGET {
        findings.push(format!("The file has {} bytes, more than {BUDGET}.", html.len()));
    }
    let styles = unpacked(&page, "styles").unwrap_or_else(|fault| {
        findings.push(fault);
        Vec::new()
    });
    policy(html, &page, &styles, &mut findings);
    style(&String::from_utf8_lossy(&styles), &mut findings);
    markup(&page.markup, &mut findings);
    texts(&page, &mut findings);
    match unpacked(&page, "demo-data") {
        Ok(bytes) => words("the demo cases", &String::from_utf8_lossy(&bytes), &mut findings),
        Err(fault) => findings.push(fault),
    }
    match module(&page) {
        Ok(bytes) => words("the module", &String::from_utf8_lossy(&bytes), &mut findings),
        Err(sentence) => findings.push(sentence),
    }
    findings
}

/// The policy stands first but for the charset, and allows exactly the scripts that stand inline and the
/// style that the start-up script unpacks.
fn policy(html: &str, page: &Page, styles: &[u8], findings: &mut Vec<String>) {
    let head = html.find("<head>").map_or(html, |at| &html[at + "<head>".len()..]);
    let Some(rest) = head.trim_start().strip_prefix("<meta charset=\"utf-8\">") else {
        return findings.push("The first thing in the head is not <meta charset=\"utf-8\">.".into());
    };
    let opening = "<meta http-equiv=\"Content-Security-Policy\" content=\"";
    let Some((text, _)) = rest.trim_start().strip_prefix(opening).and_then(|rest| rest.split_once('"')) else {
        return findings.push("The second thing in the head is not the policy.".into());
    };
    if page.markup.matches("Content-Security-Policy").count() != 1 {
        findings.push("There is more than one policy.".into());
    }
    let directives: Vec<(&str, &str)> =
        text.split(';').map(|part| part.trim().split_once(' ').unwrap_or((part.trim(), ""))).collect();
    let hash = |text: &[u8]| format!("'sha256-{}'", STANDARD.encode(Sha256::digest(text)));
    let live = page.blocks.iter().filter(|block| block.tag == "script" && block.is_live());
    let scripts: String = live.map(|block| format!(" {}", hash(block.text.as_bytes()))).collect();
    let mut wanted: Vec<(&str, String)> = POLICY.iter().map(|(name, value)| (*name, (*value).to_owned())).collect();
    wanted.push(("script-src", format!("'wasm-unsafe-eval'{scripts}")));
    wanted.push(("style-src", hash(styles)));
    for (name, value) in &wanted {
        let given: Vec<&str> = directives.iter().filter(|(given, _)| given == name).map(|(_, value)| *value).collect();
        if given != [value.as_str()] {
            findings.push(format!("The policy's {name} is {given:?}, not exactly “{value}”."));
        }
    }
    if directives.len() != wanted.len() {
        findings.push(format!("The policy has {} directives, not {}.", directives.len(), wanted.len()));
    }
}

/// The markup names nothing outside the file and holds neither styles nor scripts in attributes.
fn markup(markup: &str, findings: &mut Vec<String>) {
    let lower = markup.to_ascii_lowercase();
    for word in ["<link", "<base", "<iframe", "<frame", "<object", "<embed", "<applet", "http-equiv=\"refresh\""] {
        if lower.contains(word) {
            findings.push(format!("The markup holds “{word}”."));
        }
    }
    for tag in tags(&lower) {
        // A form inside a dialog only closes it.
        if tag.starts_with("form") && !tag.contains("method=\"dialog\"") {
            findings.push("The markup holds a form that could be sent.".into());
        }
        for (name, value) in attributes(tag) {
            let outside =
                matches!(name, "src" | "href" | "xlink:href" | "action" | "formaction" | "poster" | "srcset" | "ping")
                    && !(value.starts_with('#') || value.starts_with("data:"));
            if name == "style" || name.starts_with("on") || outside {
                findings.push(format!("The markup holds the attribute {name}=\"{value}\"."));
            }
        }
    }
}

/// What stands between `<` and `>`.
fn tags(lower: &str) -> impl Iterator<Item = &str> {
    lower.split('<').skip(1).filter_map(|part| part.split_once('>').map(|(tag, _)| tag))
}

/// The attributes of a tag: name and value without quotes.
fn attributes(tag: &str) -> Vec<(&str, &str)> {
    let mut found = Vec::new();
    let mut rest = tag;
    while let Some((before, after)) = rest.split_once('=') {
        let name = before.trim_end().rsplit([' ', '\n', '\t', '"', '\'', '/']).next().unwrap_or("");
        let after = after.trim_start();
        let quote = after.chars().next().filter(|c| matches!(c, '"' | '\''));
        let (value, next) = match quote {
            Some(quote) => after[1..].split_once(quote).unwrap_or((&after[1..], "")),
            None => after.split_once(char::is_whitespace).unwrap_or((after, "")),
        };
        found.push((name, value));
        rest = next;
    }
    found
}

/// No text of the file holds a forbidden word; only the sleeping call may stand.
fn texts(page: &Page, findings: &mut Vec<String>) {
    words("the markup", &page.markup, findings);
    for block in page.blocks.iter().filter(|block| !PACKED.iter().any(|id| block.has_id(id))) {
        words("a script or data block", block.text, findings);
        if block.tag == "style" {
            findings.push("A style stands in the markup: all of it is packed.".into());
        } else if block.is_live() {
            // The glue is known by the name it makes.
            let is_glue = block.text.trim_start().starts_with(GLUE);
            let others = block.text.replacen(SLEEPING_FETCH, "", usize::from(is_glue));
            if others.contains("fetch(") {
                findings.push("A script holds “fetch(”: it connects.".into());
            }
            if is_glue {
                forbidden("the glue", block.text, &FORBIDDEN_GLUE, findings);
            }
        }
    }
}

/// The style loads nothing.
fn style(text: &str, findings: &mut Vec<String>) {
    words("the style", text, findings);
    for word in ["@import", "url("] {
        if text.to_ascii_lowercase().contains(word) {
            findings.push(format!("The style holds “{word}”: styles load nothing."));
        }
    }
}

/// Looks for forbidden words and for addresses in one text.
fn words(place: &str, text: &str, findings: &mut Vec<String>) {
    forbidden(place, text, &FORBIDDEN, findings);
    for scheme in ["http://", "https://"] {
        for (at, _) in text.match_indices(scheme) {
            if !NAMES_NOT_LINKS.iter().any(|name| text[at..].starts_with(name)) {
                let shown: String = text[at..].chars().take(60).collect();
                findings.push(format!("An address stands in {place}: “{shown}”."));
            }
        }
    }
}

fn forbidden(place: &str, text: &str, list: &[(&str, &str)], findings: &mut Vec<String>) {
    for (word, why) in list {
        if text.contains(word) {
            findings.push(format!("“{word}” stands in {place}: {why}."));
        }
    }
}

/// The module as the page will unpack it.
fn module(page: &Page) -> Result<Vec<u8>, String> {
    let bytes = columns::join(&unpacked(page, "module")?)?;
    if bytes.starts_with(b"\0asm") { Ok(bytes) } else { Err("The module is no WebAssembly.".into()) }
}

/// A data block as the page will unpack it.
fn unpacked(page: &Page, id: &str) -> Result<Vec<u8>, String> {
    let found: Vec<_> = page.blocks.iter().filter(|block| block.has_id(id)).collect();
    let [block] = found.as_slice() else {
        return Err(format!("The file has {} blocks with the id “{id}”, not one.", found.len()));
    };
    let packed = letters::read(block.text).map_err(|fault| format!("The block “{id}” cannot be read: {fault}."))?;
    let mut bytes = Vec::new();
    LzmaReader::new_mem_limit(packed.as_slice(), MOST_KIB, None)
        .and_then(|mut reader| reader.read_to_end(&mut bytes))
        .map_err(|fault| format!("The block “{id}” cannot be unpacked: {fault}."))?;
    Ok(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::onefile::{Parts, pack};

    const TEMPLATE: &str = concat!(
        "<!doctype html><html><head>\n<meta charset=\"utf-8\">\n",
        "<meta http-equiv=\"Content-Security-Policy\" content=\"{{policy}}\"><meta name=\"version\" content=\"{{version}}\">",
        "</head><body><main id=\"page\"></main>",
        "<script type=\"application/octet-stream\" id=\"styles\">{{styles}}</script>",
        "<script type=\"application/octet-stream\" id=\"demo-data\">{{demo_data}}</script>",
        "<script type=\"application/octet-stream\" id=\"module\">{{module}}</script>",
        "<script>{{glue}}</script><script>{{unpack}}</script><script>{{start}}</script></body></html>"
    );

    fn parts() -> Parts {
        Parts {
            template: TEMPLATE.into(),
            screen_css: "main { color: black }".into(),
            print_css: "main { color: black }\n".into(),
            glue: format!("let wasm_bindgen = 1; if (0) {{ {SLEEPING_FETCH} }}"),
            unpack: "unpack();".into(),
            start: "start();".into(),
            module: module("http://www.w3.org/2000/svg"),
            demo: vec![],
            version: "0".into(),
        }
    }

    /// A module that is nothing but one custom section with this name.
    fn module(name: &str) -> Vec<u8> {
        let length = name.len() as u8;
        [b"\0asm\x01\0\0\0\0", &[length + 1, length][..], name.as_bytes()].concat()
    }

    fn packed(change: impl FnOnce(&mut Parts)) -> String {
        let mut parts = parts();
        change(&mut parts);
        pack(&parts).expect("packs").html
    }

    #[test]
    fn a_clean_file_passes() {
        assert_eq!(audit(&packed(|_| {})), Vec::<String>::new());
    }

    #[test]
    fn each_forbidden_word_is_found_wherever_it_stands() {
        for (word, _) in FORBIDDEN {
            for html in [
                packed(|parts| parts.start.push_str(word)),
                packed(|parts| parts.glue.push_str(word)),
                packed(|parts| parts.screen_css.push_str(word)),
                packed(|parts| parts.module = module(word)),
                packed(|parts| parts.demo.push(("a.json".into(), word.into()))),
                packed(|parts| parts.template = parts.template.replace("<main", &format!("<p>{word}</p><main"))),
            ] {
                assert!(audit(&html).iter().any(|finding| finding.contains(word)), "{word} was not found");
            }
        }
        for (word, _) in FORBIDDEN_GLUE {
            let html = packed(|parts| parts.glue.push_str(word));
            assert!(audit(&html).iter().any(|finding| finding.contains(word)), "{word} was not found");
        }
    }

    #[test]
    fn addresses_are_found_and_names_of_notations_are_not() {
        for address in ["http://example.invalid/", "https://example.invalid/", "http://www.w3.org/TR/svg"] {
            for html in [packed(|parts| parts.start.push_str(address)), packed(|parts| parts.module = module(address))]
            {
                assert_eq!(audit(&html).len(), 1, "{address}");
            }
        }
    }

    #[test]
    fn markup_that_loads_or_runs_is_found() {
        for piece in [
            "<link rel=\"icon\">",
            "<base target=\"_self\">",
            "<iframe></iframe>",
            "<form></form>",
            "<meta http-equiv=\"refresh\" content=\"1\">",
            "<p style=\"color:red\">",
            "<p onclick=\"a()\">",
            "<p class=\"a\"\n  onload = 'a()'>",
            "<img src=\"picture.png\">",
            "<a href=\"other.html\">",
            "<a href='javascript:a()'>",
            "<script src=\"a.js\"></script>",
        ] {
            let html = packed(|parts| parts.template = parts.template.replace("<main", &format!("{piece}<main")));
            assert!(!audit(&html).is_empty(), "{piece} was not found");
        }
        for piece in [
            "<a href=\"#map\">",
            "<button type=\"button\" data-on=\"1\">",
            "<img src=\"data:,\">",
            "<p title=\"a = b\">",
            "<form method=\"dialog\">",
        ] {
            let html = packed(|parts| parts.template = parts.template.replace("<main", &format!("{piece}<main")));
            assert_eq!(audit(&html), Vec::<String>::new(), "{piece}");
        }
    }

    #[test]
    fn styles_that_load_are_found() {
        for piece in ["@import 'a.css';", "p{background:URL(a.png)}"] {
            assert!(!audit(&packed(|parts| parts.print_css.push_str(piece))).is_empty(), "{piece} was not found");
        }
    }

    #[test]
    fn only_the_sleeping_call_may_stand() {
        assert!(!audit(&packed(|parts| parts.start.push_str("fetch('a')"))).is_empty());
        assert!(!audit(&packed(|parts| parts.start.push_str(SLEEPING_FETCH))).is_empty());
        let with = |calls: &str| audit(&packed(|parts| parts.glue = format!("{GLUE} = 0;{calls}")));
        assert_eq!(with(SLEEPING_FETCH), Vec::<String>::new());
        assert!(!with(&SLEEPING_FETCH.repeat(2)).is_empty());
    }

    #[test]
    fn a_policy_that_was_weakened_is_found() {
        let clean = packed(|_| {});
        for (from, to) in [
            ("connect-src 'none'", "connect-src *"),
            ("; form-action 'none'", ""),
            ("script-src ", "script-src 'unsafe-inline' "),
            ("trusted-types 'none'\"", "trusted-types 'none'; font-src *\""),
            ("start();", "start() ;"),
            ("style-src ", "style-src 'unsafe-inline' "),
            ("</head>", "<style>p{}</style></head>"),
            ("<meta charset=\"utf-8\">\n", "<script>1</script><meta charset=\"utf-8\">\n"),
            ("<head>\n<meta charset=\"utf-8\">\n", "<head>\n"),
        ] {
            let html = clean.replacen(from, to, 1);
            assert_ne!(html, clean, "{from} stands in the file");
            assert!(!audit(&html).is_empty(), "{from} → {to} was not found");
        }
    }

    #[test]
    fn a_damaged_or_missing_module_is_found() {
        let clean = packed(|_| {});
        let module = clean.find("id=\"module\">").expect("it has one") + "id=\"module\">".len();
        let damaged = format!("{}\u{20AC}{}", &clean[..module], &clean[module + 1..]);
        for html in [damaged, clean.replacen("id=\"module\"", "id=\"other\"", 1)] {
            assert_ne!(html, clean);
            assert!(!audit(&html).is_empty());
        }
    }

    #[test]
    fn a_heavy_file_is_found() {
        let html = packed(|parts| parts.start.push_str(&" ".repeat(BUDGET)));
        assert_eq!(audit(&html).len(), 1);
    }
}
