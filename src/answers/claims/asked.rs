//! What a claim says, as data.

use serde::Serialize;
use shakmaty::Chess;

use crate::lines::{Bound, Claim, ClaimKind, Relation, san_text};

/// What is said of a move.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Asked {
    /// The move, SAN.
    pub san: String,
    /// What of it.
    pub measure: Measure,
    /// How it compares with the value; none for a rank, and for a comparison of moves.
    pub relation: Option<&'static str>,
    /// A rank from 1, a share or score 0..=1, or an edge in points a game; none for a
    /// comparison of moves.
    pub value: Option<f64>,
    /// How far from the value is still about it, where that is the relation.
    pub within: Option<f64>,
    /// The move that it is compared with, SAN.
    pub other: Option<String>,
}

/// What of a move a claim is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Measure {
    /// Its place by games.
    Rank,
    /// Its place or a better one.
    Top,
    /// Its share of the games.
    Share,
    /// Its mover's score.
    Score,
    /// Its mover's edge.
    Edge,
    /// Played more than another.
    MoreThan,
    /// Played less than another.
    LessThan,
}

impl Asked {
    pub(super) fn of(claim: &Claim, position: &Chess, about: f64) -> Asked {
        let bare = |measure| Asked {
            san: claim.san.clone(),
            measure,
            relation: None,
            value: None,
            within: None,
            other: None,
        };
        let rank = |measure, rank: u8| Asked { value: Some(rank.into()), ..bare(measure) };
        let bounded = |measure, Bound { relation, value }| Asked {
            relation: Some(sign(relation)),
            value: Some(value),
            within: (relation == Relation::About).then_some(about),
            ..bare(measure)
        };
        let versus =
            |measure, other| Asked { other: Some(san_text(position, other)), ..bare(measure) };
        match claim.kind {
            ClaimKind::Rank(place) => rank(Measure::Rank, place),
            ClaimKind::Top(place) => rank(Measure::Top, place),
            ClaimKind::Share(bound) => bounded(Measure::Share, bound),
            ClaimKind::Score(bound) => bounded(Measure::Score, bound),
            ClaimKind::Edge(bound) => bounded(Measure::Edge, bound),
            ClaimKind::MoreThan(other) => versus(Measure::MoreThan, other),
            ClaimKind::LessThan(other) => versus(Measure::LessThan, other),
        }
    }
}

fn sign(relation: Relation) -> &'static str {
    match relation {
        Relation::AtLeast => ">=",
        Relation::AtMost => "<=",
        Relation::Above => ">",
        Relation::Below => "<",
        Relation::About => "about",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::answers::kit::play;

    fn asked(text: &str) -> serde_json::Value {
        let position = play("").1;
        let claim = Claim::parse(text, &position).expect("a claim");
        serde_json::to_value(Asked::of(&claim, &position, 0.05)).expect("plain data")
    }

    #[test]
    fn every_claim_is_told_as_codes_and_numbers() {
        let want = serde_json::json!({"san": "e4", "measure": "share", "relation": "about",
            "value": 0.4, "within": 0.05, "other": null});
        assert_eq!(asked("e4 about 40%"), want);
        let want = serde_json::json!({"san": "e4", "measure": "more_than", "relation": null,
            "value": null, "within": null, "other": "Nf3"});
        assert_eq!(asked("e4 > Nf3"), want);
        assert_eq!(asked("e4 second")["value"], 2.0);
        assert_eq!(
            (&asked("e4 edge < -5%")["relation"], &asked("e4 top 3")["measure"]),
            (&"<".into(), &"top".into())
        );
        for text in ["e4 first", "e4 top 2", "e4 >= 1%", "e4 score > 1%", "e4 edge > 0", "e4 < d4"]
        {
            let position = play("").1;
            let claim = Claim::parse(text, &position).expect("a claim");
            let measure = Asked::of(&claim, &position, 0.05).measure;
            assert_eq!(asked(text)["measure"], serde_json::json!(measure));
        }
    }
}
