//! The setter's last choice before the bait's, in a month of its own: what it costs against the
//! usual moves there.

use deadfall::answers::Question;
use deadfall::answers::trap::judge;
use deadfall::terms::Band;

use super::league::League;
use super::month::{Here, Play};
use super::players::{Activity, crowd, dealt, games_a_player};
use super::sampling::Chance;
use super::tally::Tallies;

/// Black's edges with the line's move and with all others.
pub type Edges = [f64; 2];

/// Plays the choice of a league with two choices or more, judges the trap and notes what it says
/// of the choice.
pub fn note(league: &League, edges: Edges, chance: &mut Chance, tallies: &mut Tallies) {
    let place = league.keeps.len() - 2;
    let keep = league.keeps[place];
    let blacks = Activity::of(games_a_player(league.effect));
    let mut play = Play::of(league, chance);
    for (index, truth) in league.bands.iter().enumerate() {
        let band = Band::from_index(10 + index).expect("a band");
        let before = league.keeps[..place].iter();
        let share: f64 = truth.choices[..=place].iter().chain(before).product();
        let whites = crowd(play.chance, &Activity::of(league.games_a_white()), truth.games);
        let (mut games, groups) = play.all_games(&whites);
        games.retain(|_| play.chance.unit() < share);
        let players = crowd(play.chance, &blacks, games.len() as u64);
        let deal = dealt(play.chance, &players);
        let chosen = play.choose(&players, deal.iter().copied(), keep);
        let mut here = Here::default();
        for ((&game, &black), &mv) in games.iter().zip(&deal).zip(&chosen) {
            let (white, black) = (&whites[game.white], &players[black]);
            let result = play.result(edges[usize::from(mv > 0)], white, black);
            here.add(mv, game, black).merge(&result);
            play.end(game, &result);
        }
        play.put(2 * place + 1, band, &here);
        play.totals(band, (share, keep * edges[0] + (1.0 - keep) * edges[1]), groups);
    }
    let Ok(report) = judge(&play.counts, &play.trap, &Question::default());
    let choice = &report.earlier_choices[place];
    tallies.figure("earlier choice: edge", &choice.edge, edges[0]);
    tallies.figure("earlier choice: edge of the usual", &choice.usual.edge, edges[1]);
    tallies.figure("earlier choice: difference", &choice.difference, edges[0] - edges[1]);
}
