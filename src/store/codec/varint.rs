//! Numbers in as many bytes as they need.

/// Why bytes are no counts; without the store's name, which the reader adds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct DecodeError(pub(in crate::store) &'static str);

/// Appends a number, 7 bits a byte, lowest first.
pub(in crate::store) fn put_varint(out: &mut Vec<u8>, mut number: u64) {
    while number >= 0x80 {
        out.push(number as u8 | 0x80);
        number >>= 7;
    }
    out.push(number as u8);
}

/// Appends a signed number: 0, -1, 1, -2 ... as 0, 1, 2, 3 ...
pub(super) fn put_signed(out: &mut Vec<u8>, number: i64) {
    put_varint(out, (number << 1 ^ number >> 63) as u64);
}

pub(super) fn unzigzag(number: u64) -> i64 {
    (number >> 1) as i64 ^ -((number & 1) as i64)
}

/// Bytes yet to be read.
pub(in crate::store) struct Bytes<'a>(pub(in crate::store) &'a [u8]);

const CUT: DecodeError = DecodeError("it is cut short");
const WRONG_LENGTH: DecodeError = DecodeError("a number of a wrong length");

impl Bytes<'_> {
    pub(in crate::store) fn array<const N: usize>(&mut self) -> Result<[u8; N], DecodeError> {
        let (head, rest) = self.0.split_first_chunk().ok_or(CUT)?;
        self.0 = rest;
        Ok(*head)
    }

    #[inline]
    pub(in crate::store) fn varint(&mut self) -> Result<u64, DecodeError> {
        match self.0 {
            [byte @ ..0x80, rest @ ..] => {
                self.0 = rest;
                Ok(u64::from(*byte))
            }
            _ => self.long_varint(),
        }
    }

    fn long_varint(&mut self) -> Result<u64, DecodeError> {
        // Nearly all numbers end within eight bytes: seven bits of each are pushed together, first
        // in twos, then in fours.
        if let Some(word) = self.0.first_chunk().map(|bytes| u64::from_le_bytes(*bytes))
            && let ends = !word & 0x8080_8080_8080_8080
            && ends != 0
        {
            let length = ends.trailing_zeros() / u8::BITS + 1;
            let bits = word & 0x7f7f_7f7f_7f7f_7f7f & u64::MAX >> (u64::BITS - u8::BITS * length);
            if length > 1 && bits >> (u8::BITS * (length - 1)) == 0 {
                return Err(WRONG_LENGTH);
            }
            let push = |bits: u64, low: u64, gap: u32| bits & low | (bits & !low) >> gap;
            let twos = push(bits, 0x00ff_00ff_00ff_00ff, 1);
            let fours = push(twos, 0x0000_ffff_0000_ffff, 2);
            self.0 = &self.0[length as usize..];
            return Ok(push(fours, 0x0000_0000_ffff_ffff, 4));
        }
        let mut number = 0u64;
        for (place, &byte) in self.0.iter().enumerate().take(10) {
            let bits = u64::from(byte & 0x7f);
            number |= bits << (7 * place);
            if byte < 0x80 {
                let superfluous = byte == 0 && place > 0;
                if superfluous || (place == 9 && byte > 1) {
                    return Err(WRONG_LENGTH);
                }
                self.0 = &self.0[place + 1..];
                return Ok(number);
            }
        }
        Err(if self.0.len() < 10 { CUT } else { WRONG_LENGTH })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn numbers_come_back(
            number in any::<u64>(),
            shift in 0u32..64,
            behind in prop::collection::vec(any::<u8>(), 0..10),
        ) {
            let number = number >> shift;
            let mut out = Vec::new();
            put_varint(&mut out, number);
            put_signed(&mut out, number as i64);
            out.extend(&behind);
            let mut bytes = Bytes(&out);
            prop_assert_eq!(bytes.varint(), Ok(number));
            prop_assert_eq!(bytes.varint().map(unzigzag), Ok(number as i64));
            prop_assert_eq!(bytes.0, behind);
        }
    }

    #[test]
    fn numbers_of_a_wrong_length_are_refused() {
        for bytes in [&[][..], &[0x80], &[0x80, 0], &[0x80, 0, 1, 1, 1, 1, 1, 1], &[0xff; 11]] {
            assert!(Bytes(bytes).varint().is_err(), "{bytes:?}");
        }
        let past_64_bits = [0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 2];
        assert!(Bytes(&past_64_bits).varint().is_err());
    }
}
