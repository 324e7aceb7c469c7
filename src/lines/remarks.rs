//! Marks and comments beside a move.

/// Marks and comments at one move.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Remarks {
    /// Comments in front of the move, where a variation begins with it.
    pub before: Vec<String>,
    /// Marks and signs as written: `?`, `$14`, `+-`.
    pub marks: Vec<String>,
    /// Comments behind it.
    pub comments: Vec<String>,
}

impl Remarks {
    /// Adds a comment, if it says anything.
    pub(super) fn comment(&mut self, text: &str) {
        let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
        if !text.is_empty() {
            self.comments.push(text);
        }
    }
}
