//! Bits and the games of cells against plain lists of bits.

use std::iter::repeat_n;

use proptest::collection::vec;
use proptest::prelude::*;

use super::{BitReader, BitWriter};
use crate::terms::Group;

/// What is put at a time.
#[derive(Clone, Copy, Debug)]
enum Item {
    /// A number and how many bits it has.
    Number(u64, u32),
    /// So many ones and a zero.
    Ones(u64),
}

fn items() -> impl Strategy<Value = Vec<Item>> {
    let bits = prop_oneof![any::<u64>(), Just(u64::MAX)];
    let number = (bits, 0..=BitWriter::MOST)
        .prop_map(|(bits, count)| Item::Number(bits & ((1 << count) - 1), count));
    let ones = prop_oneof![0u64..5, 0u64..150].prop_map(Item::Ones);
    vec(prop_oneof![number, ones], 0..40)
}

fn number(number: u64, count: u32) -> impl Iterator<Item = bool> {
    (0..count).map(move |place| number >> place & 1 == 1)
}

fn ones(ones: u64) -> impl Iterator<Item = bool> {
    repeat_n(true, ones as usize).chain([false])
}

fn bytes(bits: &[bool]) -> Vec<u8> {
    let byte = |bits: &[bool]| bits.iter().rev().fold(0, |byte, &bit| byte << 1 | u8::from(bit));
    bits.chunks(8).map(byte).collect()
}

/// Takes what was put; whether nothing is left then.
fn takes(reader: &mut BitReader<'_>, items: &[Item]) -> bool {
    for &item in items {
        match item {
            Item::Number(number, count) => assert_eq!(reader.take(count), Some(number)),
            Item::Ones(ones) => assert_eq!(reader.ones(ones), Some(ones)),
        }
    }
    reader.is_at_end()
}

/// Games by group of some cells, none of which is empty.
fn cells() -> impl Strategy<Value = Vec<Vec<(Group, u64)>>> {
    let games = prop_oneof![4 => 1u64..4, 2 => 1u64..100, 1 => 1u64..1 << 34];
    let rows = prop::collection::btree_map(0..Group::COUNT, games, 1..=Group::COUNT);
    let group = |(index, games)| (Group::from_index(index).expect("a group"), games);
    vec(rows.prop_map(move |rows| rows.into_iter().map(group).collect()), 0..6)
}

/// The bits of a cell as the documentation of [`crate::store`] has them.
fn plain(rows: &[(Group, u64)]) -> Vec<bool> {
    let games: u64 = rows.iter().map(|(_, games)| games).sum();
    if games < 8 {
        let each = rows.iter().flat_map(|&(group, games)| repeat_n(group, games as usize));
        return each.flat_map(|group| number(group.index() as u64, 5)).collect();
    }
    let low = (games / 32).max(1).ilog2();
    let of = |group| rows.iter().find(|row| row.0 == group).map_or(0, |row| row.1);
    Group::all().map(of).flat_map(|games| ones(games >> low).chain(number(games, low))).collect()
}

proptest! {
    #[test]
    fn bits_are_those_of_a_plain_list(items in items()) {
        let bits: Vec<bool> = items
            .iter()
            .flat_map(|&item| match item {
                Item::Number(its, count) => number(its, count).collect::<Vec<_>>(),
                Item::Ones(count) => ones(count).collect(),
            })
            .collect();
        let mut out = vec![0xaa];
        let mut writer = BitWriter::new(&mut out);
        items.iter().for_each(|&item| match item {
            Item::Number(number, count) => writer.put(number, count),
            Item::Ones(ones) => writer.ones(ones),
        });
        writer.finish();
        prop_assert_eq!(&out[1..], bytes(&bits));
        let mut reader = BitReader::new(&out[1..]);
        prop_assert!(takes(&mut reader, &items));
        prop_assert_eq!(reader.take(u8::BITS), None);
        let longer = [&out[1..], &[0]].concat();
        prop_assert!(!takes(&mut BitReader::new(&longer), &items));
        if !bits.len().is_multiple_of(8) {
            *out.last_mut().expect("a byte that is not full") |= 0x80;
            prop_assert!(!takes(&mut BitReader::new(&out[1..]), &items));
        }
    }

    #[test]
    fn games_by_group_are_those_of_a_plain_list(cells in cells()) {
        let (mut out, mut rows) = (Vec::new(), cells.iter().flatten().copied());
        let games = |cell: &[(Group, u64)]| cell.iter().map(|(_, games)| games).sum();
        let mut writer = BitWriter::new(&mut out);
        cells.iter().for_each(|cell| writer.cell(games(cell), &mut rows));
        writer.finish();
        let bits: Vec<bool> = cells.iter().flat_map(|cell| plain(cell)).collect();
        prop_assert_eq!(&out, &bytes(&bits));
        let mut reader = BitReader::new(&out);
        for cell in &cells {
            let mut found = Vec::<(Group, u64)>::new();
            let read = reader.cell(games(cell), |group, games| match found.last_mut() {
                Some(last) if last.0 == group => last.1 += games,
                _ => found.push((group, games)),
            });
            prop_assert_eq!(read, Ok(()));
            prop_assert_eq!(&found, cell);
        }
        prop_assert_eq!(reader.finish(), Ok(()));
    }
}

#[test]
fn more_ones_than_there_may_be_are_none() {
    let mut out = Vec::new();
    let mut writer = BitWriter::new(&mut out);
    writer.ones(100);
    writer.finish();
    assert_eq!(BitReader::new(&out).ones(100), Some(100));
    assert_eq!(BitReader::new(&out).ones(99), None);
    assert_eq!(BitReader::new(&[0xff; 9]).ones(100), None);
}
