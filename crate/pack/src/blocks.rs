//! Splits a packed page into its inline scripts and styles and the markup around them.
//!
//! It reads HTML as a browser does where it matters here: a script or style ends at its first
//! closing tag, whatever stands inside. It knows nothing of what the blocks are for.

/// One `<script>` or `<style>` element.
#[derive(Debug, PartialEq)]
pub struct Block<'a> {
    /// `script` or `style`.
    pub tag: &'static str,
    /// What stands inside its opening tag, after the name.
    pub attributes: &'a str,
    /// What stands between its tags.
    pub text: &'a str,
    /// Byte at which its opening tag begins.
    pub at: usize,
}

impl Block<'_> {
    /// Whether a browser runs or applies it: data blocks carry a type that is no script's.
    pub fn is_live(&self) -> bool {
        self.tag == "style" || !self.attributes.contains("type=")
    }

    /// Whether it is the element of this id.
    pub fn has_id(&self, id: &str) -> bool {
        self.attributes.contains(&format!("id=\"{id}\""))
    }
}

/// A page taken apart.
#[derive(Debug)]
pub struct Page<'a> {
    /// Scripts and styles, in order.
    pub blocks: Vec<Block<'a>>,
    /// The page without what stands inside scripts and styles; their tags stay.
    pub markup: String,
}

/// Takes a page apart.
///
/// # Errors
/// Where a script or style is not closed.
pub fn take_apart(html: &str) -> Result<Page<'_>, String> {
    // Tags are found in lower case; lowering only ASCII keeps every byte in its place.
    let lower = html.to_ascii_lowercase();
    let mut blocks = Vec::new();
    let mut markup = String::new();
    let mut from = 0;
    while let Some((at, tag)) = next_block(&lower, from) {
        let unclosed = || format!("The page has a <{tag}> that is not closed.");
        let open_end = at + lower[at..].find('>').ok_or_else(unclosed)?;
        let close = open_end + 1 + lower[open_end + 1..].find(&format!("</{tag}")).ok_or_else(unclosed)?;
        blocks.push(Block {
            tag,
            attributes: html[at + 1 + tag.len()..open_end].trim(),
            text: &html[open_end + 1..close],
            at,
        });
        markup.push_str(&html[from..=open_end]);
        from = close;
    }
    markup.push_str(&html[from..]);
    Ok(Page { blocks, markup })
}

/// Where the next script or style begins.
fn next_block(lower: &str, from: usize) -> Option<(usize, &'static str)> {
    ["script", "style"]
        .into_iter()
        .filter_map(|tag| {
            let mut start = from;
            loop {
                let at = start + lower[start..].find(&format!("<{tag}"))?;
                match lower[at + 1 + tag.len()..].chars().next() {
                    Some(next) if next != '>' && !next.is_ascii_whitespace() => start = at + 1,
                    _ => return Some((at, tag)),
                }
            }
        })
        .min()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn takes_a_page_apart() {
        let page = take_apart("<p>a</p><STYLE>b{}</style><script type=\"x\" id=\"d\">1<2</script><script>c</script>z")
            .expect("closed");
        let seen: Vec<_> = page.blocks.iter().map(|block| (block.tag, block.text, block.is_live())).collect();
        assert_eq!(seen, [("style", "b{}", true), ("script", "1<2", false), ("script", "c", true)]);
        assert!(page.blocks[1].has_id("d"));
        assert_eq!(page.markup, "<p>a</p><STYLE></style><script type=\"x\" id=\"d\"></script><script></script>z");
    }

    #[test]
    fn a_script_that_is_not_closed_is_a_fault() {
        assert!(take_apart("<script>1").is_err());
        assert!(take_apart("<script").is_err());
    }

    #[test]
    fn longer_names_are_no_scripts() {
        assert!(take_apart("<scripts>1</scripts>").expect("no script").blocks.is_empty());
    }
}
