//! Sentences with named slots.

/// A piece of a template such as `{side} to move`.
pub(super) enum Part<'t> {
    Text(&'t str),
    Slot(&'t str),
}

pub(super) fn parts(template: &str) -> impl Iterator<Item = Part<'_>> {
    template.split('{').enumerate().flat_map(|(place, piece)| {
        let (slot, text) = match (place, piece.split_once('}')) {
            (0, _) | (_, None) => (None, piece),
            (_, Some((slot, text))) => (Some(Part::Slot(slot)), text),
        };
        slot.into_iter().chain([Part::Text(text)])
    })
}

pub(super) fn value<'v, T>(slot: &str, values: &'v [(&str, T)]) -> &'v T {
    let found = values.iter().find(|(name, _)| *name == slot);
    &found.unwrap_or_else(|| panic!("the wording asks for {{{slot}}}, which is not given here")).1
}

/// The template with its slots filled.
///
/// # Panics
///
/// If the template has a slot without a value.
pub(super) fn fill(template: &str, values: &[(&str, String)]) -> String {
    let written = parts(template).map(|part| match part {
        Part::Text(text) => text,
        Part::Slot(slot) => value(slot, values).as_str(),
    });
    written.collect()
}
