//! The pages of `trap`.

mod advice;
mod bands;
mod curve;
mod explain;
mod figures;
mod flat;
mod glossary;
mod sheet;
mod soundness;
mod summary;
mod sums;
mod table;
mod verdict;
mod victim;
mod view;

use std::io::{self, Write};

use super::words;
use crate::answers::trap::TrapAnswer;
use view::paragraph;

pub(super) use advice::erred;
pub(super) use figures::listing;
pub use flat::csv;
pub use glossary::advice_help;
pub(super) use glossary::glossary;
pub(super) use table::TABLE;
pub(super) use table::named;
pub use victim::{victim_csv, victim_text};
pub use view::View;

/// The judged traps for people: a sheet for a single one; for several tables, in the order of the answer, and sheets if asked.
pub fn text<W: Write>(mut out: W, answer: &TrapAnswer, view: View) -> io::Result<()> {
    let traps = &answer.traps;
    let mut page = paragraph(&format!("Ratings and paces: {}.", words::filter(answer.filter)), 0);
    if traps.len() > 1 {
        page += &summary::text(traps);
    }
    let sheets = view.each || traps.len() == 1;
    for (index, trap) in traps.iter().enumerate().filter(|_| sheets) {
        let place = (traps.len() > 1).then_some(index + 1);
        page.push('\n');
        page += &sheet::text(trap, place, answer, view);
    }
    page.push('\n');
    footer(answer).iter().for_each(|note| page += &paragraph(note, 0));
    out.write_all(page.as_bytes())
}

fn footer(answer: &TrapAnswer) -> Vec<String> {
    let cutoffs = answer.cutoffs;
    let (common, occasional) = (cutoffs.common, cutoffs.occasional);
    let mut notes = vec![
        format!(
            "Slips in 1000 games that play for the trap: {common} or more is common, {occasional} to {common} \
             occasional, under {occasional} rare; the interval decides. `deadfall trap --help` says when to teach a trap."
        ),
        "Scores and edges are the setter's. Edge: how much better a side scores than the ratings promise, in percent of a point a game. \
         The ratings are those of the player who moves (`deadfall help figures`)."
            .into(),
        format!("{} Intervals [low, high] are 95 % (`deadfall help margins`).", words::ASSOCIATION),
    ];
    notes.push(words::as_good_as());
    notes.extend(words::limits(&answer.limits));
    notes
}

#[cfg(test)]
mod tests {
    use super::view::title;
    use super::*;
    use crate::answers::trap::TrapReport;
    use crate::pages::BoardStyle;
    use crate::pages::kit::{mean, printed, thin_trap, trap_answer, trap_report};

    const VIEW: View = View { each: true, board: BoardStyle::Ascii };

    #[test]
    fn several_traps_are_summed_up_first_in_the_order_of_the_answer() {
        let mut better = trap_report();
        (better.name, better.figures.net) = ("Better".into(), mean(61.0, 59.0, 63.0, 80));
        let answer = trap_answer(vec![better, trap_report(), thin_trap()]);
        let page = printed(|out| text(out, &answer, VIEW));
        let summary = page.split("\n1. Better (").next().expect("a first part");
        insta::assert_snapshot!(summary, @"
        Ratings and paces: players rated 1200 to 1999, all paces.

        What to do

        1. Better: Undecided: players of this level fall for it themselves,
            130.0 [107.1, 154.3] times in 1000 of their games as Black; too few
            evaluations say whether the slip loses, so ask an engine (--engine).
        2. Legal's mate: Undecided: players of this level fall for it themselves,
            130.0 [107.1, 154.3] times in 1000 of their games as Black; too few
            evaluations say whether the slip loses, so ask an engine (--engine).
        3. A trap with a name that is far too long for one line: Undecided: too few
            games to say how often they slip and whether it pays; in no game counted did
            players of this level as Black reach the position this way; too few
            evaluations say whether the slip loses, so ask an engine (--engine).

           trap                advice        net per 1000  verdict  soundness
        ---------------------------------------------------------------------
        1  Better              undecided            +61.0  common   unknown
           1. e4 e5 2. Nf3 d6              [+59.0, +63.0]
           3. Bc4 Bg4 4. Nc3                           80
           g6 5. Nxe5 Bxd1??
           6. Bxf7+

        2  Legal's mate        undecided            +85.1  common   unknown
           1. e4 e5 2. Nf3 d6             [+52.6, +117.0]
           3. Bc4 Bg4 4. Nc3                           80
           g6 5. Nxe5 Bxd1??
           6. Bxf7+

        3  A trap with a name  undecided      - (0 games)  too few  unknown
           that is far too                                 games
           long for one line
           1. e4 e5 2. Nf3 f6
           3. Nxe5 fxe5?? 4.
           Qh5+

        How often, and what it pays

           trap           games    occurrence       steered     slip rate     find rate
        -------------------------------------------------------------------------------
        1  Better           323        35.0 %        56.7 %        37.2 %        66.7 %
                                 [31.3, 38.8]  [53.2, 59.9]  [31.9, 42.8]  [57.5, 74.8]
                                   323 of 923           523    120 of 323     80 of 120

        2  Legal's mate     323        35.0 %        56.7 %        37.2 %        66.7 %
                                 [31.3, 38.8]  [53.2, 59.9]  [31.9, 42.8]  [57.5, 74.8]
                                   323 of 923           523    120 of 323     80 of 120

        3  A trap with a      0         0.0 %         0.0 %   - (0 games)   - (0 games)
           name that is            [0.0, 6.5]   [0.0, 21.2]
           far too long               0 of 60            60
           for one line

           trap           edge after slip           worth          price
        ----------------------------------------------------------------
        1  Better                 +15.6 %           +70.2         +5.7 %
                            [+6.4, +23.7]  [+48.6, +92.6]  [-1.6, +12.7]
                                      120              80            200

        2  Legal's mate           +15.6 %           +70.2         +5.7 %
                            [+6.4, +23.7]  [+48.6, +92.6]  [-1.6, +12.7]
                                      120              80            200

        3  A trap with a      - (0 games)     - (0 games)    - (0 games)
           name that is
           far too long
           for one line
        Withheld (-): fewer than 50 games, the minimum sample; needs another figure that
        has too few games.
        ");
        let last = page.split("\n3. ").last().expect("a last sheet");
        insta::assert_snapshot!(last.split("\n\nSlips in").next().expect("a sheet"), @"
        A trap with a name that is far too long for one line
        White lays it: 1. e4 e5 2. Nf3 f6 3. Nxe5 fxe5?? 4. Qh5+

        Undecided: too few games to say how often it comes up and whether it pays; in no
        game counted did players of this level as Black reach the position this way;
        nothing says whether the slip loses, so ask an engine (--engine). From 1200 to
        below 2000, none of your games as White reaches this position if you play for
        it: nobody plays 2...f6 (0 of 60 games, up to 6.5 %). How many opponents play
        the losing move 3...fxe5 can't be said: no games. Whether it scores better than
        the usual move can't be said: no games.

            8  r n b q k b n r
            7  p p p p . . p p
            6  . . . . . p . .
            5  . . . . N . . .
            4  . . . . P . . .
            3  . . . . . . . .
            2  P P P P . P P P
            1  R N B Q K B . R

               a b c d e f g h

        The victim chooses here:
        rnbqkbnr/pppp2pp/5p2/4N3/4P3/8/PPPP1PPP/RNBQKB1R b KQkq - 0 3

        Rarest step on the way: 0 of 60 with 2...f6. How many players of this level find
        the refutation 4.Qh5+ can't be said: no games. How many slip in 1000 games that
        play for it can't be said: no games (often: from 5 on; now and then: from 1 on).
        Too few games to say how often it comes up. What to expect in your next 50 games
        as White can't be said: no games.

        figure                   value       interval    games
        ------------------------------------------------------
        occurrence               0.0 %   [0.0, 6.5] %  0 of 60
          games as Black that get here
        steered                  0.0 %  [0.0, 21.2] %       60
          if the setter always plays this line
          rarest step on the way: 0 of 60 (2...f6)
        in any order             0.0 %  [0.0, 21.2] %       60
          the same if the victim may play the line's moves in
          any order
          rarest step on the way: 0 of 60
        slip rate          - (0 games)
          victims who play 3...fxe5 here
        find rate          - (0 games)
          setters who reply 4.Qh5+
        score after slip   - (0 games)
          setter's score, whatever the reply
        edge after slip    - (0 games)
          so much better than the ratings promise
        edge refuted       - (0 games)
          with 4.Qh5+
        edge without slip  - (0 games)
          when the victim plays something else
        edge of the usual  - (0 games)
          other moves instead of 3.Nxe5
        worth              - (0 games)
          needs slip rate: no games
        price              - (0 games)
          needs edge of the usual moves: no games
        net                - (0 games)
          needs slip rate: no games
        slips per 1000     - (0 games)
          needs slip rate: no games
        own slips          - (0 games)
          needs slip rate: no games
        in 50 games        - (0 games)
          needs slip rate: no games
        at least one       - (0 games)
          needs slip rate: no games

        Steered is 0: nobody of these ratings played 2...f6.

        Soundness: unknown. No source tells enough. In the dumps: 0 evaluations after
        the slip 3...fxe5, too few after any other move.

        on the way the victim plays              share %     games
        ----------------------------------------------------------
        1...e5                       100.0 [93.5, 100.0]  60 of 60
        2...f6                            0.0 [0.0, 6.5]   0 of 60

        The setter's choices before the bait, which net leaves out. Difference: edge of
        the move minus edge of the usual ones; below 0 the move costs something.

        earlier choice            edge %  usual       edge %  difference %
        ------------------------------------------------------------------
        1.e4            0.0 [-3.2, +3.2]  -      - (0 games)   - (0 games)
                                      60
        2.Nf3           0.0 [-3.2, +3.2]  -      - (0 games)   - (0 games)
                                      60
        Withheld (-): fewer than 50 games, the minimum sample; needs another figure that
        has too few games.
        ");
    }

    #[test]
    fn a_trap_without_a_name_is_called_by_its_opening_or_its_slip() {
        let mut trap = TrapReport { name: " ".into(), ..trap_report() };
        assert_eq!(title(&trap), "Philidor Defense");
        trap.opening = None;
        assert_eq!(title(&trap), "Bxd1 for White");
    }

    #[test]
    fn pages_fit_their_width() {
        let answer = trap_answer(vec![thin_trap(), trap_report()]);
        let page = printed(|out| text(out, &answer, VIEW));
        let widest = page.lines().map(str::len).max();
        assert!(widest <= Some(crate::pages::layout::PAGE_WIDTH), "{widest:?}");
    }
}
