//! Answers as types: what serde reads them into, and what the help has to say about them.
//!
//! A *part* is a piece that several answers have, such as a rate; it is explained once, under its name.

use std::collections::BTreeMap;

/// What a type is made of.
#[derive(Clone)]
pub enum Shape {
    /// A number, a text.
    Leaf(&'static str),
    /// One word of a list.
    Word(&'static [&'static str]),
    /// The same list of words in several places.
    Named(&'static str, &'static [&'static str]),
    Maybe(Box<Shape>),
    List(Box<Shape>),
    Object {
        /// What it shares with others, by name.
        parts: Vec<(&'static str, Fields)>,
        own: Fields,
    },
}

pub type Fields = Vec<(&'static str, Shape)>;

/// A type of an answer.
pub trait Described {
    fn shape() -> Shape;
}

macro_rules! leaf {
    ($($kind:ty: $name:literal)*) => {
        $(impl Described for $kind {
            fn shape() -> Shape {
                Shape::Leaf($name)
            }
        })*
    };
}

leaf!(u64: "count" u16: "number" f64: "number" bool: "true/false" String: "text");

impl<T: Described> Described for Option<T> {
    fn shape() -> Shape {
        Shape::Maybe(Box::new(T::shape()))
    }
}

impl<T: Described> Described for Vec<T> {
    fn shape() -> Shape {
        Shape::List(Box::new(T::shape()))
    }
}

/// A struct of an answer: the parts in it, and its own fields.
macro_rules! object {
    ($name:ident { $($own:ident: $kind:ty),* $(,)? }) => {
        object!($name [] { $($own: $kind),* });
    };
    ($name:ident = $part:literal { $($field:ident: $kind:ty),* $(,)? }) => {
        object!($name [$part { $($field: $kind),* }] {});
    };
    ($name:ident [$($part:literal { $($field:ident: $of:ty),* $(,)? })*] { $($own:ident: $kind:ty),* $(,)? }) => {
        #[derive(Debug, serde::Deserialize)]
        #[serde(deny_unknown_fields)]
        #[allow(dead_code)]
        pub struct $name { $($(pub $field: $of,)*)* $(pub $own: $kind),* }

        impl $crate::schema::shape::Described for $name {
            fn shape() -> $crate::schema::shape::Shape {
                $crate::schema::shape::Shape::Object {
                    parts: vec![$(($part, vec![$((stringify!($field), <$of>::shape())),*])),*],
                    own: vec![$((stringify!($own), <$kind>::shape())),*],
                }
            }
        }
    };
}

/// An object whose first field says which of several it is.
macro_rules! tagged {
    ($name:ident $tag:literal { $($variant:ident { $($field:ident: $kind:ty),* $(,)? })* }) => {
        #[derive(Debug, serde::Deserialize)]
        #[serde(tag = $tag, rename_all = "snake_case", deny_unknown_fields)]
        #[allow(dead_code)]
        pub enum $name { $($variant { $($field: $kind),* }),* }

        impl $crate::schema::shape::Described for $name {
            fn shape() -> $crate::schema::shape::Shape {
                let tag = $crate::schema::shape::Shape::Word(&[$(stringify!($variant)),*]);
                #[allow(unused_mut)]
                let mut own = vec![($tag, tag)];
                $($(own.push((stringify!($field), <$kind>::shape()));)*)*
                $crate::schema::shape::Shape::Object { parts: Vec::new(), own }
            }
        }
    };
}

/// One of several words.
macro_rules! words {
    ($name:ident: $($word:ident)*) => {
        words!($name $crate::schema::shape::Shape::Word(&[$(stringify!($word)),*]), $($word)*);
    };
    ($name:ident = $part:literal: $($word:ident)*) => {
        words!($name $crate::schema::shape::Shape::Named($part, &[$(stringify!($word)),*]), $($word)*);
    };
    ($name:ident $shape:expr, $($word:ident)*) => {
        #[derive(Debug, serde::Deserialize)]
        #[serde(rename_all = "snake_case")]
        pub enum $name { $($word),* }

        impl $crate::schema::shape::Described for $name {
            fn shape() -> $crate::schema::shape::Shape {
                $shape
            }
        }
    };
}

/// A share with its interval.
macro_rules! rate {
    ($name:ident { $($own:ident: $kind:ty),* $(,)? }) => {
        object!($name ["rate" {
            value: Option<f64>,
            low: Option<f64>,
            high: Option<f64>,
            k: u64,
            n: u64,
            n_eff: f64,
            withheld: Option<Withheld>,
        }] { $($own: $kind),* });
    };
}

/// A product of shares, whose games are those of its rarest step.
macro_rules! product {
    ($name:ident { $($own:ident: $kind:ty),* $(,)? }) => {
        object!($name ["product" {
            value: Option<f64>,
            low: Option<f64>,
            high: Option<f64>,
            k: Option<u64>,
            n: u64,
            n_eff: f64,
            withheld: Option<Withheld>,
        }] { $($own: $kind),* });
    };
}

/// A mean, a difference, or what is made of them.
macro_rules! mean {
    ($name:ident { $($own:ident: $kind:ty),* $(,)? }) => {
        object!($name ["mean" {
            value: Option<f64>,
            low: Option<f64>,
            high: Option<f64>,
            n: u64,
            n_eff: f64,
            withheld: Option<Withheld>,
        }] { $($own: $kind),* });
    };
}

/// A row of a move table.
macro_rules! with_move {
    ($name:ident { $($own:ident: $kind:ty),* $(,)? }) => {
        object!($name ["move" {
            san: String,
            uci: String,
            rank: u64,
            games: u64,
            wins: u64,
            draws: u64,
            losses: u64,
            share: Rate,
            score: Mean,
            expected: f64,
            edge: Mean,
            clock_s: Mean,
            eval_cp: Mean,
        }] { $($own: $kind),* });
    };
}

pub(super) use {mean, object, product, rate, tagged, with_move, words};

/// What is to be explained: for each answer and part, the fields with their kinds and words.
#[derive(Default)]
pub struct Wanted(pub BTreeMap<String, BTreeMap<String, Field>>);

/// A field.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Field {
    pub kind: String,
    /// What it may say.
    pub words: Vec<String>,
}

impl Wanted {
    /// Adds an answer and the parts in it.
    pub fn add<T: Described>(&mut self, answer: &str) {
        let Shape::Object { parts, own } = T::shape() else { panic!("an answer is an object") };
        assert!(parts.is_empty(), "{answer}");
        self.fields(answer, "", own);
    }

    fn fields(&mut self, section: &str, before: &str, fields: Fields) {
        for (name, shape) in fields {
            let path = format!("{before}{}", name.trim_start_matches("r#"));
            self.field(section, &path, shape);
        }
    }

    fn field(&mut self, section: &str, path: &str, shape: Shape) {
        let (kind, words) = (kind(&shape), words_of(&shape));
        let known = self.0.entry(section.to_owned()).or_default();
        let field =
            known.entry(path.to_owned()).or_insert_with(|| Field { kind: kind.clone(), words });
        // Of several objects in one place one may lack, or have in whole numbers, what another has.
        if kind.ends_with(" or null") || (field.kind == "count" && kind == "number") {
            field.kind = kind;
        }
        self.inside(section, path, shape);
    }

    fn inside(&mut self, section: &str, path: &str, shape: Shape) {
        match shape {
            Shape::Maybe(inner) => self.inside(section, path, *inner),
            Shape::List(inner) => self.inside(section, &format!("{path}[]"), *inner),
            Shape::Object { parts, own } => {
                for (part, fields) in parts {
                    if !self.0.contains_key(part) {
                        self.fields(part, "", fields);
                    }
                }
                self.fields(section, &format!("{path}."), own);
            }
            Shape::Named(name, words) => {
                let words = words.iter().map(|word| snake(word)).collect();
                let field = Field { kind: "word".into(), words };
                self.0.entry("words".into()).or_default().insert(name.to_owned(), field);
            }
            Shape::Leaf(_) | Shape::Word(_) => {}
        }
    }
}

/// What the help calls a shape.
fn kind(shape: &Shape) -> String {
    match shape {
        Shape::Leaf(name) | Shape::Named(name, _) => (*name).to_owned(),
        Shape::Word(_) => "word".into(),
        Shape::Maybe(inner) => format!("{} or null", kind(inner)),
        Shape::List(inner) => format!("list of {}s", kind(inner).trim_end_matches('s')),
        Shape::Object { parts, .. } => parts.last().map_or("object", |(name, _)| name).to_owned(),
    }
}

fn words_of(shape: &Shape) -> Vec<String> {
    match shape {
        Shape::Word(words) => words.iter().map(|word| snake(word)).collect(),
        Shape::Maybe(inner) | Shape::List(inner) => words_of(inner),
        _ => Vec::new(),
    }
}

/// `TooFewGames` as `too_few_games`.
fn snake(word: &str) -> String {
    let mut text = String::new();
    for letter in word.chars() {
        if letter.is_ascii_uppercase() && !text.is_empty() {
            text.push('_');
        }
        text.push(letter.to_ascii_lowercase());
    }
    text
}
