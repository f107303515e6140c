//! Makes the one file: fills the placeholders of `www/index.html`, writes the policy that allows
//! exactly what stands inline and forbids every connection, and weighs each part.
//!
//! The same parts give the same bytes. It reads and writes no file and knows no path.

use std::io::Write as _;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use lzma_rust2::{LzmaOptions, LzmaWriter};
use sha2::{Digest as _, Sha256};

use crate::columns;
use crate::letters;

/// What goes into the file.
pub struct Parts {
    /// `www/index.html`, with its placeholders.
    pub template: String,
    /// `www/screen.css`.
    pub screen_css: String,
    /// `www/print.css`.
    pub print_css: String,
    /// What bindgen wrote to join the page and the module.
    pub glue: String,
    /// `www/unpack.js`.
    pub unpack: String,
    /// `www/start.js`.
    pub start: String,
    /// The WebAssembly module.
    pub module: Vec<u8>,
    /// The demo files: name and text, in the order in which the page lists them.
    pub demo: Vec<(String, String)>,
    /// The program's version.
    pub version: String,
}

/// One part and what it weighs in the file, in bytes.
#[derive(Debug, PartialEq)]
pub struct Weight {
    /// What it is.
    pub part: &'static str,
    /// Bytes in the file.
    pub bytes: usize,
    /// What it weighed before it was packed, where that differs.
    pub before: Option<usize>,
}

/// The file, and what is said about it.
#[derive(Debug)]
pub struct Packed {
    /// The whole file.
    pub html: String,
    /// Version and short hash of the parts, as they stand in the file.
    pub version: String,
    /// What each part weighs; they add up to the whole.
    pub weights: Vec<Weight>,
}

/// Packs the parts into one file.
///
/// # Errors
/// Where a placeholder of the template is missing, stands twice or is not known.
pub fn pack(parts: &Parts) -> Result<Packed, String> {
    let glue = inline_script(&parts.glue);
    let unpack = inline_script(&parts.unpack);
    let start = inline_script(&parts.start);
    let style = format!("{}\n@media print {{\n{}\n}}", lean_style(&parts.screen_css), lean_style(&parts.print_css));
    let styles = letters::write(&squeezed(style.as_bytes())?);
    let demo_json = demo_json(&parts.demo)?;
    let demo = letters::write(&squeezed(demo_json.as_bytes())?);
    let module = letters::write(&squeezed(&columns::split(&parts.module)?)?);
    let version = format!("{} ({})", parts.version, stamp(parts));
    let policy = policy(&[&glue, &unpack, &start], &style);
    let values: [(&str, &str); 8] = [
        ("policy", &policy),
        ("version", &version),
        ("styles", &styles),
        ("demo_data", &demo),
        ("module", &module),
        ("glue", &glue),
        ("unpack", &unpack),
        ("start", &start),
    ];
    let html = fill(&parts.template, &values)?;
    let rest = html.len() - module.len() - glue.len() - unpack.len() - start.len() - styles.len() - demo.len();
    let weights = vec![
        Weight {
            part: "program (WebAssembly by columns, LZMA, as letters)",
            bytes: module.len(),
            before: Some(parts.module.len()),
        },
        Weight { part: "glue between page and program", bytes: glue.len(), before: None },
        Weight { part: "unpacking script", bytes: unpack.len(), before: None },
        Weight { part: "start-up script", bytes: start.len(), before: None },
        Weight { part: "styles (LZMA, as letters)", bytes: styles.len(), before: Some(style.len()) },
        Weight { part: "demo cases (LZMA, as letters)", bytes: demo.len(), before: Some(demo_json.len()) },
        Weight { part: "page and policy", bytes: rest, before: None },
    ];
    Ok(Packed { html, version, weights })
}

/// The policy: nothing is allowed but the inline scripts and the style that the start-up script unpacks,
/// named by their hash, pictures made in the page, and compiling the module.
pub fn policy(scripts: &[&str], style: &str) -> String {
    let scripts: Vec<String> = scripts.iter().map(|text| hash_source(text)).collect();
    format!(
        "default-src 'none'; script-src 'wasm-unsafe-eval' {}; style-src {}; img-src data: blob:; connect-src 'none'; \
         base-uri 'none'; form-action 'none'; require-trusted-types-for 'script'; trusted-types 'none'",
        scripts.join(" "),
        hash_source(style)
    )
}

/// How a policy names an inline text: its SHA-256, in base64, quoted.
fn hash_source(text: &str) -> String {
    format!("'sha256-{}'", STANDARD.encode(Sha256::digest(text)))
}

/// A short hash over every part, so that two files can be told apart and a printed page traced to
/// its file.
fn stamp(parts: &Parts) -> String {
    let mut hash = Sha256::new();
    let mut add = |bytes: &[u8]| {
        hash.update((bytes.len() as u64).to_le_bytes());
        hash.update(bytes);
    };
    for text in [&parts.template, &parts.screen_css, &parts.print_css, &parts.glue, &parts.unpack, &parts.start] {
        add(text.as_bytes());
    }
    add(&parts.module);
    for (name, text) in &parts.demo {
        add(name.as_bytes());
        add(text.as_bytes());
    }
    hash.finalize().iter().take(6).map(|byte| format!("{byte:02x}")).collect()
}

/// A script as it may stand inline: what a browser would take for its end is escaped.
fn inline_script(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(at) = rest.find('<') {
        let (before, from) = rest.split_at(at);
        out.push_str(before);
        let lower = from.get(..8).unwrap_or(from).to_ascii_lowercase();
        out.push('<');
        if lower.starts_with("</script") || lower.starts_with("<!--") {
            out.push('\\');
        }
        rest = &from[1..];
    }
    out.push_str(rest);
    out
}

/// A style without remarks and indentation.
fn lean_style(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some((before, from)) = rest.split_once("/*") {
        out.push_str(before);
        rest = from.split_once("*/").map_or("", |(_, after)| after);
    }
    out.push_str(rest);
    let lines: Vec<&str> = out.lines().map(str::trim).filter(|line| !line.is_empty()).collect();
    lines.join("\n")
}

/// The demo files as one JSON list of `{name, text}`; each text stays as it stands on the disk, so
/// that the page reads it as strictly as a file.
fn demo_json(demo: &[(String, String)]) -> Result<String, String> {
    let list: Vec<_> = demo.iter().map(|(name, text)| serde_json::json!({ "name": name, "text": text })).collect();
    serde_json::to_string(&list).map_err(|fault| format!("The demo cases cannot be written as JSON: {fault}."))
}

/// The `.lzma` format with the length at its head.
///
/// # Errors
/// Never, for what fits into memory.
fn squeezed(bytes: &[u8]) -> Result<Vec<u8>, String> {
    let mut options = LzmaOptions::with_preset(9);
    options.nice_len = 273;
    // No more memory for unpacking than there is to unpack.
    options.dict_size = (bytes.len() as u32).next_power_of_two().max(1 << 16);
    let pack = || {
        let mut writer = LzmaWriter::new_use_header(Vec::new(), &options, Some(bytes.len() as u64))?;
        writer.write_all(bytes)?;
        writer.finish()
    };
    pack().map_err(|fault: std::io::Error| format!("A block of the page cannot be compressed: {fault}."))
}

/// Puts each value in the place of `{{name}}`, which must stand exactly once. Values are not read
/// again for placeholders.
fn fill(template: &str, values: &[(&str, &str)]) -> Result<String, String> {
    let mut out = String::with_capacity(template.len() + values.iter().map(|(_, text)| text.len()).sum::<usize>());
    let mut used = vec![false; values.len()];
    let mut rest = template;
    while let Some(at) = rest.find("{{") {
        out.push_str(&rest[..at]);
        let end = rest[at..].find("}}").ok_or("www/index.html has a “{{” without its “}}”.")? + at;
        let name = &rest[at + 2..end];
        let index = values.iter().position(|(known, _)| *known == name).ok_or_else(|| {
            format!("www/index.html has a placeholder {{{{{name}}}}} that nothing fills: take it out.")
        })?;
        if std::mem::replace(&mut used[index], true) {
            return Err(format!("www/index.html has the placeholder {{{{{name}}}}} twice: keep one."));
        }
        out.push_str(values[index].1);
        rest = &rest[end + 2..];
    }
    out.push_str(rest);
    match used.iter().position(|used| !used) {
        Some(index) => {
            Err(format!("www/index.html lacks the placeholder {{{{{}}}}}: put it in once.", values[index].0))
        }
        None => Ok(out),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parts() -> Parts {
        Parts {
            template: concat!(
                "<meta charset=\"utf-8\"><meta http-equiv=\"Content-Security-Policy\" content=\"{{policy}}\">",
                "<meta name=\"version\" content=\"{{version}}\">",
                "<script type=\"application/octet-stream\">{{styles}}</script>",
                "<script type=\"application/octet-stream\">{{demo_data}}</script>",
                "<script type=\"application/octet-stream\">{{module}}</script>",
                "<script>{{glue}}</script><script>{{unpack}}</script><script>{{start}}</script>"
            )
            .into(),
            screen_css: "p{}".into(),
            print_css: "q{}".into(),
            glue: "let a = '{{start}} </script> <!-- $&';".into(),
            unpack: "b;".into(),
            start: "a;".into(),
            module: b"\0asm\x01\0\0\0".to_vec(),
            demo: vec![("a.json".into(), "{\"label\": \"a </script> <b>\"}".into())],
            version: "1.2.3".into(),
        }
    }

    #[test]
    fn the_same_parts_give_the_same_bytes_and_any_other_part_another_stamp() {
        let first = pack(&parts()).expect("packs");
        assert_eq!(first.html, pack(&parts()).expect("packs").html);
        let changes: [fn(&mut Parts); 4] = [
            |parts| parts.start.push(' '),
            |parts| parts.module.extend([0, 0]),
            |parts| parts.demo[0].1.push(' '),
            |parts| parts.template.push(' '),
        ];
        for change in changes {
            let mut other = parts();
            change(&mut other);
            assert_ne!(first.version, pack(&other).expect("packs").version);
        }
    }

    #[test]
    fn what_would_end_a_script_is_escaped_and_values_are_not_filled_again() {
        let html = pack(&parts()).expect("packs").html;
        assert!(html.contains("let a = '{{start}} <\\/script> <\\!-- $&';"), "{html}");
        assert_eq!(html.matches("</script>").count(), 6);
        assert_eq!(inline_script("</SCRIPT"), "<\\/SCRIPT");
        assert_eq!(inline_script("a<b, é<"), "a<b, é<");
    }

    #[test]
    fn the_policy_names_each_script_and_style_by_its_hash() {
        let html = pack(&parts()).expect("packs").html;
        // printf 'p{}\n@media print {\nq{}\n}' | openssl dgst -sha256 -binary | base64
        assert!(html.contains("style-src 'sha256-OPv8s3pzzvsf5umm2D+eXHPYmEyaFin1BztXPOi8Onw='; "), "{html}");
        assert!(html.contains(&hash_source("let a = '{{start}} <\\/script> <\\!-- $&';")), "{html}");
    }

    #[test]
    fn a_placeholder_stands_exactly_once() {
        for (change, word) in [
            ("", "lacks the placeholder {{start}}"),
            ("{{start}}{{start}}", "twice"),
            ("{{start}}{{other}}", "nothing fills"),
            ("{{start}}{{", "without its"),
        ] {
            let mut parts = parts();
            parts.template = parts.template.replace("{{start}}", change);
            let fault = pack(&parts).expect_err(change);
            assert!(fault.contains(word), "{fault}");
        }
    }

    #[test]
    fn the_weights_add_up_to_the_file() {
        let packed = pack(&parts()).expect("packs");
        assert_eq!(packed.weights.iter().map(|weight| weight.bytes).sum::<usize>(), packed.html.len());
    }
}
