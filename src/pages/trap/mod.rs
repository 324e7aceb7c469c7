//! The pages of `trap`.

mod bands;
mod curve;
mod explain;
mod flat;
mod sheet;
mod soundness;
mod summary;
mod victim;

use std::io::{self, Write};

use super::board::BoardStyle;
use super::layout::paragraph;
use super::words::{self, clean};
use crate::answers::trap::{TrapAnswer, TrapReport};

pub use flat::csv;
pub use victim::{victim_csv, victim_text};

/// What of an answer is shown, and how.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct View {
    /// A sheet for each of several traps, behind their table.
    pub each: bool,
    /// How boards are drawn.
    pub board: BoardStyle,
}

/// The judged traps for people: a sheet for a single one; for several a table, best net first, and sheets if asked.
pub fn text<W: Write>(mut out: W, answer: &TrapAnswer, view: View) -> io::Result<()> {
    let traps = by_net(&answer.traps);
    let mut page = paragraph(&format!("Ratings and paces: {}.", words::filter(answer.filter)), 0);
    if traps.len() > 1 {
        page += &summary::text(&traps);
    }
    let sheets = view.each || traps.len() == 1;
    for (index, trap) in traps.iter().enumerate().filter(|_| sheets) {
        let place = (traps.len() > 1).then_some(index + 1);
        page.push('\n');
        page += &sheet::text(trap, place, view);
    }
    page.push('\n');
    footer(answer).iter().for_each(|note| page += &paragraph(note, 0));
    out.write_all(page.as_bytes())
}

/// By the lower end of net, best first, withheld ones last; else as asked.
fn by_net(traps: &[TrapReport]) -> Vec<&TrapReport> {
    let mut traps: Vec<&TrapReport> = traps.iter().collect();
    traps.sort_by(|a, b| match (a.figures.net.low, b.figures.net.low) {
        (Some(a), Some(b)) => b.total_cmp(&a),
        (a, b) => b.is_some().cmp(&a.is_some()),
    });
    traps
}

/// What the trap is called: its name, else the opening's.
fn title(trap: &TrapReport) -> String {
    let name = clean(&trap.name);
    match (&trap.opening, name.is_empty()) {
        (_, false) => name,
        (Some(opening), true) => clean(opening),
        (None, true) => format!("{} for {}", clean(&trap.slip), words::side(trap.setter)),
    }
}

fn footer(answer: &TrapAnswer) -> Vec<String> {
    let cutoffs = answer.cutoffs;
    let (common, occasional) = (cutoffs.common, cutoffs.occasional);
    let mut notes = vec![
        format!(
            "Slips per 1000 steered games: {common} or more is common, {occasional} to {common} \
             occasional, under {occasional} rare; the interval decides. This tells how often, not whether the \
             trap is sound or pays: see soundness and net."
        ),
        "Scores and edges are the setter's. Edge: score minus what the ratings predict and minus what \
         that colour scores above it in all games, in percent of a point a game."
            .into(),
        "The ratings are those of whoever moves: victims for occurrence, steered, slip rate and what \
         follows the slip; setters for find rate, refutation and usual moves."
            .into(),
        "Differences in score are associations, not effects: who knows a refutation may be stronger \
         than the rating says, and games of one player hang together."
            .into(),
        "Intervals [low, high] are 95 % and take the ratings, and for seconds the mix of paces, as given.".into(),
    ];
    notes.extend(words::clustered(answer.cluster));
    notes.extend(words::limits(&answer.limits));
    notes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pages::kit::{mean, printed, thin_trap, trap_answer, trap_report};

    const VIEW: View = View { each: true, board: BoardStyle::Ascii };

    #[test]
    fn one_trap_is_a_sheet_without_a_summary() {
        let answer = trap_answer(vec![trap_report()]);
        insta::assert_snapshot!(printed(|out| text(out, &answer, VIEW)), @"
        Ratings and paces: movers rated 1200 to 1999, all paces.

        Legal's mate (C41 Philidor Defense)
        White lays it: 1. e4 e5 2. Nf3 d6 3. Bc4 Bg4 4. Nc3 g6 5. Nxe5 Bxd1?? 6. Bxf7+

            8  r n . q k b n r
            7  p p p . . p . p
            6  . . . p . . p .
            5  . . . . N . . .
            4  . . B . P . b .
            3  . . N . . . . .
            2  P P P P . P P P
            1  R . B Q K . . R

               a b c d e f g h

        The victim chooses here: rn1qkbnr/ppp2p1p/3p2p1/4N3/2B1P1b1/2N5/PPPP1PPP/R1BQK2R b KQkq - 0 5
        Common: 13.3 slips per 1000 steered games [11.1, 16.0], 303 games.
        In your next 50 games as White, if you always play for it: 0.67 [0.55, 0.80] slips to expect, at least one with a chance
        of 48.8 [42.8, 55.3] %.

        figure               value            interval          games  meaning
        -------------------------------------------------------------------------------------------------------------
        occurrence         1 in 41  [1 in 46, 1 in 36]  303 of 12,345  games as Black that get here
        steered            1 in 30  [1 in 33, 1 in 27]   303 of 9,000  if the setter always plays this line (games at
                                                                       its thinnest choice)
        in any order       1 in 29  [1 in 32, 1 in 26]   310 of 9,000  the same if the victim may play the line's
                                                                       moves in any order
        slip rate           39.6 %      [34.3, 45.2] %     120 of 303  victims who play Bxd1 here
        find rate           67.8 %      [58.9, 75.6] %      80 of 118  setters who reply Bxf7+
        score after slip    80.0 %      [72.0, 86.0] %            120  setter's score, whatever the reply
        edge after slip    +29.0 %    [+21.0, +35.0] %            120  the same against expectation
        edge refuted       +41.0 %    [+33.0, +46.0] %             80  with Bxf7+
        edge without slip  -12.0 %     [-18.0, -6.0] %            183  when the victim plays something else
        edge of the usual   +2.0 %      [-1.0, +5.0] %            900  other moves instead of Nxe5, mostly h3
        worth                 +1.6        [+0.8, +2.4]             80  points per 1000 games that go with knowing the
                                                                       refutation
        price              +14.0 %     [+7.0, +21.0] %            183  what laying it costs when the victim does not
                                                                       slip
        net                   +2.3        [+0.5, +4.2]             80  points per 1000 games of laying it instead of
                                                                       the usual
        slips per 1000        13.3        [11.1, 16.0]            303  slips in 1000 steered games
        in 50 games           0.67        [0.55, 0.80]            303  slips to expect when steering
        at least one        48.8 %      [42.8, 55.3] %            303  chance of a slip in 50 games
        seconds, slip          4.0          [3.0, 5.0]             60  mean time spent on the slip
        seconds, others        6.5          [6.0, 7.0]             90  on the other moves here
        difference            -2.5        [-3.6, -1.4]             60  seconds more on the slip

        Games here by pace: 203 blitz, 100 rapid.
        By the ratings the setter after the slip would score 51.0 %, as with 7 rating points more than the opponent.
        Steered is mixed: bands with too few games at a move took the share of all bands there.
        Up to 8 games may be missing from a position of the line: rare positions were dropped.

        Soundness: sound. The slip allows mate in 2, and without it the setter has -0.21 by the dumps.

        source     after slip  without  slip loses  rests on
        ----------------------------------------------------------------------------------------------------
        the dumps      +10.00    -0.21       10.21  12 evaluations after the slip, 30 evaluations after dxe5
        the rules           -        -           -  mate in 2 is forced; 57 positions searched
        In pawns from the setter's side, a mate as 10; without: after the victim's best other move. The slip must lose 1.50 or
        more; without it -0.50 or more is sound, -1.50 or more playable. A mean needs 5 evaluations.
        The engine is of no use.

        on the way the victim plays            share %            games
        ---------------------------------------------------------------
        1...e5                       33.3 [32.5, 34.2]  4,000 of 12,000
        2...d6                       20.0 [18.8, 21.3]     800 of 4,000

        rated        occurrence %          games        slip rate %       games  0          50 %     100 %
        --------------------------------------------------------------------------------------------------
        1200-1299  2.5 [2.2, 2.7]  303 of 12,345  39.6 [34.3, 45.2]  120 of 303          |-o|
        1300-1399  1.5 [0.5, 4.3]       3 of 200        - (3 games)      1 of 3

        rated            find rate %      games     edge after slip %    n       net per 1000   n
        -----------------------------------------------------------------------------------------
        1200-1299  67.8 [58.9, 75.6]  80 of 118  +29.0 [+21.0, +35.0]  120  +2.3 [+0.5, +4.2]  80
        1300-1399        - (0 games)     0 of 0            - (1 game)    1        - (3 games)   3
        Withheld (-): fewer than 50 games, the minimum sample; made of a figure that is itself withheld.

        Neighbouring bands joined by their counts until the sample suffices (+)

        rated             slip rate %       games  0          50 %     100 %
        --------------------------------------------------------------------
        1200-1399+  39.5 [34.2, 45.1]  121 of 306          |o-|

        Slips per 1000 steered games: 5 or more is common, 1 to 5 occasional, under 1 rare; the interval decides. This tells how
        often, not whether the trap is sound or pays: see soundness and net.
        Scores and edges are the setter's. Edge: score minus what the ratings predict and minus what that colour scores above it
        in all games, in percent of a point a game.
        The ratings are those of whoever moves: victims for occurrence, steered, slip rate and what follows the slip; setters
        for find rate, refutation and usual moves.
        Differences in score are associations, not effects: who knows a refutation may be stronger than the rating says, and
        games of one player hang together.
        Intervals [low, high] are 95 % and take the ratings, and for seconds the mix of paces, as given.
        The store counts the first 30 half-moves of each game and keeps positions with 5 games or more (an absent one may have
        had up to 4 games).
        Cut short, and counted as far as they could be read: harbour-2031-05.pgn.zst.
        ");
    }

    #[test]
    fn several_traps_are_summed_up_first_and_ordered_by_the_lower_end_of_net() {
        let mut better = trap_report();
        (better.name, better.figures.net) = ("Better".into(), mean(11.0, 9.0, 13.0, 80));
        let answer = trap_answer(vec![thin_trap(), trap_report(), better]);
        let page = printed(|out| text(out, &answer, VIEW));
        let summary = page.split("\n\n1. ").next().expect("a first part");
        insta::assert_snapshot!(summary, @"
        Ratings and paces: movers rated 1200 to 1999, all paces.

        How often (value, interval, count)

           trap                        games                 occurrence              steered     slip rate     find rate
        ----------------------------------------------------------------------------------------------------------------
        1  Better                        303                    1 in 41              1 in 30        39.6 %        67.8 %
           1. e4 e5 2. Nf3 d6 3. Bc4                 [1 in 46, 1 in 36]   [1 in 33, 1 in 27]  [34.3, 45.2]  [58.9, 75.6]
           Bg4 4. Nc3 g6 5. Nxe5                          303 of 12,345         303 of 9,000    120 of 303     80 of 118
           Bxd1?? 6. Bxf7+

        2  Legal's mate                  303                    1 in 41              1 in 30        39.6 %        67.8 %
           1. e4 e5 2. Nf3 d6 3. Bc4                 [1 in 46, 1 in 36]   [1 in 33, 1 in 27]  [34.3, 45.2]  [58.9, 75.6]
           Bg4 4. Nc3 g6 5. Nxe5                          303 of 12,345         303 of 9,000    120 of 303     80 of 118
           Bxd1?? 6. Bxf7+

        3  A trap with a name that is      3                 1 in 4,120                never   - (3 games)             -
           far too long for one line          [1 in 12,100, 1 in 1,400]  [never, 1 in 2,340]
           1. e4 e5 2. Nf3 f6 3. Nxe5                       3 of 12,345           0 of 9,000
           fxe5??

        What it pays (worth and net in points per 1000 games; by the lower end of net)

           trap                  edge after slip         worth          price            net  verdict        soundness
        --------------------------------------------------------------------------------------------------------------
        1  Better                        +29.0 %          +1.6        +14.0 %          +11.0  common         sound
                                  [+21.0, +35.0]  [+0.8, +2.4]  [+7.0, +21.0]  [+9.0, +13.0]
                                             120            80            183             80

        2  Legal's mate                  +29.0 %          +1.6        +14.0 %           +2.3  common         sound
                                  [+21.0, +35.0]  [+0.8, +2.4]  [+7.0, +21.0]   [+0.5, +4.2]
                                             120            80            183             80

        3  A trap with a name         - (1 game)             -    - (2 games)              -  too few games  sound
           that is far too long
           for one line

        Withheld (-): fewer than 50 games, the minimum sample; made of a figure that is itself withheld; the line ends with the
        slip.
        ");
        let last = page.split("\n3. ").last().expect("a last sheet");
        insta::assert_snapshot!(last.split("\n\nSlips per").next().expect("a sheet"), @"
        A trap with a name that is far too long for one line
        White lays it: 1. e4 e5 2. Nf3 f6 3. Nxe5 fxe5??

            8  r n b q k b n r
            7  p p p p . . p p
            6  . . . . . p . .
            5  . . . . N . . .
            4  . . . . P . . .
            3  . . . . . . . .
            2  P P P P . P P P
            1  R N B Q K B . R

               a b c d e f g h

        The victim chooses here: rnbqkbnr/pppp2pp/5p2/4N3/4P3/8/PPPP1PPP/RNBQKB1R b KQkq - 0 3
        Too few games: 3 in the trap position, 50 needed.
        In your next 50 games as White: withheld (slip_rate: 3 games, 50 needed).

        figure                   value                   interval        games  meaning
        ----------------------------------------------------------------------------------------------------------------------
        occurrence          1 in 4,120  [1 in 12,100, 1 in 1,400]  3 of 12,345  games as Black that get here
        steered                  never        [never, 1 in 2,340]   0 of 9,000  if the setter always plays this line (games at
                                                                                its thinnest choice)
        in any order             never        [never, 1 in 2,340]   0 of 9,000  the same if the victim may play the line's
                                                                                moves in any order
        slip rate          - (3 games)                                          withheld: 3 games, 50 needed
        find rate                    -                                          withheld: the line ends with the slip
        score after slip    - (1 game)                                          withheld: 1 game, 50 needed
        edge after slip     - (1 game)                                          withheld: 1 game, 50 needed
        edge refuted                 -                                          withheld: the line ends with the slip
        edge without slip  - (2 games)                                          withheld: 2 games, 50 needed
        edge of the usual  - (0 games)                                          withheld: no games
        worth                        -                                          withheld: the line ends with the slip
        price              - (2 games)                                          withheld: edge_no_slip: 2 games, 50 needed
        net                          -                                          withheld: the line ends with the slip
        slips per 1000     - (3 games)                                          withheld: slip_rate: 3 games, 50 needed
        in 50 games        - (3 games)                                          withheld: slip_rate: 3 games, 50 needed
        at least one       - (3 games)                                          withheld: slip_rate: 3 games, 50 needed

        Steered is 0: nobody of these ratings played 2...f6.

        Soundness: sound. The slip allows mate in 2, and without it the setter has -0.21 by the dumps.

        source     after slip  without  slip loses  rests on
        ----------------------------------------------------------------------------------------------------
        the dumps      +10.00    -0.21       10.21  12 evaluations after the slip, 30 evaluations after dxe5
        the rules           -        -           -  mate in 2 is forced; 57 positions searched
        In pawns from the setter's side, a mate as 10; without: after the victim's best other move. The slip must lose 1.50 or
        more; without it -0.50 or more is sound, -1.50 or more playable. A mean needs 5 evaluations.
        The engine is of no use.
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

    #[test]
    fn the_csv_has_the_overall_row_before_the_bands() {
        let answer = trap_answer(vec![thin_trap(), trap_report()]);
        insta::assert_snapshot!(printed(|out| csv(out, &answer)), @"
        name,setter,scope,from,below,line,trap_fen,bait,slip,refutation,games,occurrence,occurrence_low,occurrence_high,occurrence_k,occurrence_n,steered,steered_low,steered_high,steered_k,steered_n,steered_mixed,steered_never,slip_rate,slip_rate_low,slip_rate_high,slip_rate_k,slip_rate_n,find_rate,find_rate_low,find_rate_high,find_rate_k,find_rate_n,score_after_slip,score_after_slip_low,score_after_slip_high,score_after_slip_n,edge_after_slip,edge_after_slip_low,edge_after_slip_high,edge_after_slip_n,edge_refuted,edge_refuted_low,edge_refuted_high,edge_refuted_n,edge_no_slip,edge_no_slip_low,edge_no_slip_high,edge_no_slip_n,usual,edge_usual,edge_usual_low,edge_usual_high,edge_usual_n,worth,worth_low,worth_high,worth_n,price,price_low,price_high,price_n,net,net_low,net_high,net_n,slips_per_1000,slips_per_1000_low,slips_per_1000_high,slips_per_1000_n,ahead_games,ahead_expected,ahead_expected_low,ahead_expected_high,ahead_expected_n,at_least_one,at_least_one_low,at_least_one_high,at_least_one_n,verdict,pace,joined,steered_any_order,steered_any_order_low,steered_any_order_high,steered_any_order_k,steered_any_order_n,slip_s,slip_s_low,slip_s_high,slip_s_n,others_s,others_s_low,others_s_high,others_s_n,difference_s,difference_s_low,difference_s_high,difference_s_n,slip_below,slip_below_low,slip_below_high,slip_below_n,soundness,soundness_because,withheld
        A trap with a name that is far too long for one line,white,all,1200,2000,1. e4 e5 2. Nf3 f6 3. Nxe5 fxe5??,rnbqkbnr/pppp2pp/5p2/4N3/4P3/8/PPPP1PPP/RNBQKB1R b KQkq - 0 3,Nxe5,fxe5,,3,0.00024301336573511544,0.00008264983840525644,0.0007143041797924942,3,12345,0,0,0.0004266466527940478,0,9000,false,2...f6,,,,1,3,,,,0,0,,,,1,,,,1,,,,0,,,,2,,,,,0,,,,0,,,,2,,,,0,,,,3,50,,,,3,,,,3,too_few_games,,,0,0,0.0004266466527940478,0,9000,,,,0,,,,0,,,,0,,,,,sound,\"the slip allows mate in 2, and without it the setter has -0.21 by the dumps\",\"slip_rate: 3 games, 50 needed; find_rate: the line ends with the slip; score_after_slip: 1 game, 50 needed; edge_after_slip: 1 game, 50 needed; edge_refuted: the line ends with the slip; edge_no_slip: 2 games, 50 needed; edge_usual: no games; worth: the line ends with the slip; price: edge_no_slip: 2 games, 50 needed; net: the line ends with the slip; slips_per_1000: slip_rate: 3 games, 50 needed; ahead_expected: slip_rate: 3 games, 50 needed; at_least_one: slip_rate: 3 games, 50 needed; slip_s: no games; others_s: no games; difference_s: no games\"
        Legal's mate,white,all,1200,2000,1. e4 e5 2. Nf3 d6 3. Bc4 Bg4 4. Nc3 g6 5. Nxe5 Bxd1?? 6. Bxf7+,rn1qkbnr/ppp2p1p/3p2p1/4N3/2B1P1b1/2N5/PPPP1PPP/R1BQK2R b KQkq - 0 5,Nxe5,Bxd1,Bxf7+,303,0.02454434993924666,0.021959180019571374,0.02742532790000261,303,12345,0.033666666666666664,0.030134704718214337,0.037596547726624914,303,9000,true,,0.39603960396039606,0.3426033123413659,0.4520789309182887,120,303,0.6779661016949152,0.5891986209460398,0.7555116312662927,80,118,0.8,0.72,0.86,120,0.29,0.21,0.35,120,0.41,0.33,0.46,80,-0.12,-0.18,-0.06,183,h3,0.02,-0.01,0.05,900,1.6,0.8,2.4,80,0.14,0.07,0.21,183,2.34,0.51,4.2,80,13.3,11.1,16,303,50,0.67,0.55,0.8,303,0.488,0.428,0.553,303,common,,,0.034444444444444444,0.030870953676370643,0.03841519065145315,310,9000,4,3,5,60,6.5,6,7,90,-2.5,-3.6,-1.4,60,,,,,sound,\"the slip allows mate in 2, and without it the setter has -0.21 by the dumps\",
        Legal's mate,white,band,1200,1300,1. e4 e5 2. Nf3 d6 3. Bc4 Bg4 4. Nc3 g6 5. Nxe5 Bxd1?? 6. Bxf7+,rn1qkbnr/ppp2p1p/3p2p1/4N3/2B1P1b1/2N5/PPPP1PPP/R1BQK2R b KQkq - 0 5,Nxe5,Bxd1,Bxf7+,303,0.02454434993924666,0.021959180019571374,0.02742532790000261,303,12345,0.033666666666666664,0.030134704718214337,0.037596547726624914,303,9000,true,,0.39603960396039606,0.3426033123413659,0.4520789309182887,120,303,0.6779661016949152,0.5891986209460398,0.7555116312662927,80,118,0.8,0.72,0.86,120,0.29,0.21,0.35,120,0.41,0.33,0.46,80,-0.12,-0.18,-0.06,183,h3,0.02,-0.01,0.05,900,1.6,0.8,2.4,80,0.14,0.07,0.21,183,2.34,0.51,4.2,80,13.3,11.1,16,303,50,0.67,0.55,0.8,303,0.488,0.428,0.553,303,common,,,,,,,,,,,,,,,,,,,,,,,,,,
        Legal's mate,white,band,1300,1400,1. e4 e5 2. Nf3 d6 3. Bc4 Bg4 4. Nc3 g6 5. Nxe5 Bxd1?? 6. Bxf7+,rn1qkbnr/ppp2p1p/3p2p1/4N3/2B1P1b1/2N5/PPPP1PPP/R1BQK2R b KQkq - 0 5,Nxe5,Bxd1,Bxf7+,3,0.015,0.005114237793258312,0.04316572879269027,3,200,0.033666666666666664,0.030134704718214337,0.037596547726624914,303,9000,true,,,,,1,3,,,,0,0,0.8,0.72,0.86,120,,,,1,0.41,0.33,0.46,80,-0.12,-0.18,-0.06,183,h3,0.02,-0.01,0.05,900,1.6,0.8,2.4,80,0.14,0.07,0.21,183,,,,3,13.3,11.1,16,303,50,0.67,0.55,0.8,303,0.488,0.428,0.553,303,common,,,,,,,,,,,,,,,,,,,,,,,,,,\"slip_rate: 3 games, 50 needed; find_rate: no games; edge_after_slip: 1 game, 50 needed; net: slip_rate: 3 games, 50 needed\"
        Legal's mate,white,curve_slip_rate,1200,1400,,,,,,,,,,,,,,,,,,,0.3954248366013072,0.34226376538027165,0.4511789835546379,121,306,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,,true,,,,,,,,,,,,,,,,,,,,,,,,
        ");
    }

    #[test]
    fn the_json_keeps_the_order_asked() {
        let page = printed(|out| crate::pages::json(out, &trap_answer(vec![thin_trap()])));
        let back: serde_json::Value = serde_json::from_str(&page).expect("JSON");
        assert_eq!(back["traps"][0]["verdict"]["codes"][0], "too_few_games");
        assert_eq!(back["traps"][0]["net"]["value"], serde_json::Value::Null);
        assert_eq!(back["cutoffs"]["common"], 5.0);
    }
}
