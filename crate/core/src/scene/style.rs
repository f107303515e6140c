//! Style tokens and what they look like: the one place where colours, line widths and hatches stand.

/// What a drawn thing means; each output asks [`Token::look`] how it looks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs)]
pub enum Token {
    Wall,
}
