//! The bits of ISO 11784 and the telegram of ISO 11785 with its check.
//!
//! Layout by the ICAR bit table and the comments of the public reader program
//! `cmdlffdxb.c`: bit 1 of the standard is the highest of the 64-bit word. On
//! air fields go lowest bit first. The check is CRC-16/KERMIT over the eight
//! bytes in little-endian order; the trailer is not protected by it.

use crc::{CRC_16_KERMIT, Crc};

use super::Transponder;
use crate::refusal::Refusal;

const CHECK: Crc<u16> = Crc::<u16>::new(&CRC_16_KERMIT);
/// Ten noughts and a one open the telegram.
const HEADER_BITS: usize = 11;
/// Eight bytes of identification, two of the check, three of the trailer.
const DATA_BYTES: usize = 13;

/// Everything that the 64 bits say.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Identification {
    /// The printed number.
    pub number: Transponder,
    /// Bit 1: for animals.
    pub animal: bool,
    /// Bits 2 to 4: number of the retagging.
    pub retagging: u8,
    /// Bits 5 to 9: user information.
    pub user: u8,
    /// Bits 10 to 14: reserved.
    pub reserved: u8,
    /// Bit 15: advanced transponder.
    pub advanced: bool,
    /// Bit 16: a data block follows.
    pub data_block: bool,
}

impl Identification {
    /// A plain animal transponder of this number.
    #[must_use]
    pub const fn of(number: Transponder) -> Self {
        Self { number, animal: true, retagging: 0, user: 0, reserved: 0, advanced: false, data_block: false }
    }

    /// The 64-bit word.
    #[must_use]
    pub fn word(self) -> u64 {
        self.number.national()
            | u64::from(self.number.code() & 0x3FF) << 38
            | u64::from(self.data_block) << 48
            | u64::from(self.advanced) << 49
            | u64::from(self.reserved & 0x1F) << 50
            | u64::from(self.user & 0x1F) << 55
            | u64::from(self.retagging & 0x7) << 60
            | u64::from(self.animal) << 63
    }

    /// What a 64-bit word says.
    ///
    /// # Errors
    /// A code of 0 or above 999 (ten bits hold 1023).
    pub fn from_word(word: u64) -> Result<Self, Refusal> {
        // Masked to fewer bits than the type has, so nothing is lost.
        let field = |shift: u32, bits: u32| word >> shift & ((1 << bits) - 1);
        let code = field(38, 10) as u16;
        Ok(Self {
            number: Transponder::new(code, field(0, 38))?,
            animal: field(63, 1) == 1,
            retagging: field(60, 3) as u8,
            user: field(55, 5) as u8,
            reserved: field(50, 5) as u8,
            advanced: field(49, 1) == 1,
            data_block: field(48, 1) == 1,
        })
    }
}

/// The check of ISO 11785 over a word.
#[must_use]
pub fn check(word: u64) -> u16 {
    CHECK.checksum(&word.to_le_bytes())
}

/// The eight identification bytes in air order: the first bit sent is the highest of the first byte.
#[must_use]
pub fn air_bytes(word: u64) -> [u8; 8] {
    word.to_le_bytes().map(u8::reverse_bits)
}

/// The word of eight bytes in air order.
#[must_use]
pub fn from_air_bytes(bytes: [u8; 8]) -> u64 {
    u64::from_le_bytes(bytes.map(u8::reverse_bits))
}

/// The whole telegram, 128 bits: header, then nine bits for each byte (a control bit of one after it).
#[must_use]
pub fn telegram(word: u64, trailer: u32) -> [u8; 16] {
    let data = word.to_le_bytes().into_iter().chain(check(word).to_le_bytes());
    let data = data.chain(trailer.to_le_bytes().into_iter().take(3));
    let mut bits = 1_u128;
    for byte in data {
        bits = bits << 9 | u128::from(byte.reverse_bits()) << 1 | 1;
    }
    bits.to_be_bytes()
}

/// Reads a telegram: the word and the trailer.
///
/// # Errors
/// A header or control bit that is not as it must be, or a check that does not agree.
pub fn read_telegram(telegram: [u8; 16]) -> Result<(u64, u32), Refusal> {
    let bits = u128::from_be_bytes(telegram);
    let wrong = |code, why: String| Refusal::new(code, "telegram", why, "read the chip again");
    let header = bits >> (128 - HEADER_BITS);
    if header != 1 {
        return Err(wrong("telegram-header", "does not begin with ten noughts and a one".into()));
    }
    let mut data = [0_u8; DATA_BYTES];
    for (at, byte) in data.iter_mut().enumerate() {
        let group = bits >> (9 * (DATA_BYTES - 1 - at)) & 0x1FF;
        if group & 1 == 0 {
            return Err(wrong("telegram-control", format!("control bit after byte {} is nought", at + 1)));
        }
        *byte = ((group >> 1) as u8).reverse_bits();
    }
    let little = |bytes: &[u8]| bytes.iter().rev().fold(0_u64, |sum, byte| sum << 8 | u64::from(*byte));
    let (identification, rest) = data.split_at(8);
    let (sent, trailer) = rest.split_at(2);
    let (word, sent) = (little(identification), little(sent));
    let computed = check(word);
    if sent != u64::from(computed) {
        return Err(wrong("telegram-check", format!("check sent is {sent:04X}, computed {computed:04X}")));
    }
    Ok((word, little(trailer) as u32))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn word(code: u16, national: u64, animal: bool, data_block: bool) -> u64 {
        let number = Transponder::new(code, national).unwrap();
        Identification { animal, data_block, ..Identification::of(number) }.word()
    }

    /// The first two checks are published (fixture note on two traces of the public reader program);
    /// the others were computed with crcmod 1.7 and by an independent loop.
    #[test]
    fn words_and_checks() {
        for (code, national, animal, block, expected, crc) in [
            (999, 112_233, true, false, 0x8000_F9C0_0001_B669, 0xDC48),
            (999, 112_233, false, true, 0x0001_F9C0_0001_B669, 0x4198),
            (999, 1_337, true, false, 0x8000_F9C0_0000_0539, 0x1ED3),
            (985, 121_004_515_220, true, false, 0x8000_F65C_2C6E_5F94, 0xD80A),
            (985, 113_007_399_202, true, false, 0x8000_F65A_4FC4_1122, 0xFCDF),
            (985, 100_012_135_445, true, false, 0x8000_F657_4930_1415, 0x1DE2),
            (356, 1, true, false, 0x8000_5900_0000_0001, 0x1A4A),
            (900, 274_877_906_943, true, false, 0x8000_E13F_FFFF_FFFF, 0x5D82),
        ] {
            let word = word(code, national, animal, block);
            assert_eq!(word, expected, "{code} {national}");
            assert_eq!(check(word), crc, "{code} {national}");
            let back = Identification::from_word(word).unwrap();
            assert_eq!((back.number.code(), back.number.national()), (code, national));
            assert_eq!((back.animal, back.data_block), (animal, block));
        }
    }

    /// The check value of CRC-16/KERMIT.
    #[test]
    fn the_check_is_kermit() {
        assert_eq!(CHECK.checksum(b"123456789"), 0x2189);
    }

    /// Bytes in air order published in a public firmware's unit test and in the reader program.
    #[test]
    fn published_air_bytes() {
        let number = |bytes| {
            let back = Identification::from_word(from_air_bytes(bytes)).unwrap();
            (back.number.to_string(), back.animal)
        };
        let first = [0x44, 0x88, 0x23, 0xF2, 0x5A, 0x6F, 0x00, 0x01];
        assert_eq!(number(first), ("985113007399202".to_owned(), true));
        let second = [0xA8, 0x28, 0x0C, 0x92, 0xEA, 0x6F, 0x00, 0x01];
        assert_eq!(number(second), ("985100012135445".to_owned(), true));
        assert_eq!(air_bytes(from_air_bytes(second)), second);
    }

    /// Computed by an independent program from the published layout.
    #[test]
    fn whole_telegrams() {
        let first = telegram(word(999, 112_233, true, false), 0);
        assert_eq!(u128::from_be_bytes(first), 0x0032_D6DC_0402_079F_8040_6253_B804_0201);
        let second = telegram(word(999, 112_233, false, true), 0x16A);
        assert_eq!(u128::from_be_bytes(second), 0x0032_D6DC_0402_079F_C040_2338_2AB6_0201);
    }

    proptest! {
        #[test]
        fn a_telegram_comes_back_and_any_turned_bit_of_what_is_protected_is_seen(
            code in 1_u16..=999, national in 0..=super::super::LARGEST_NATIONAL, bit in 24_usize..117
        ) {
            let word = word(code, national, true, false);
            let sent = telegram(word, 0x00AB_CDEF);
            prop_assert_eq!(read_telegram(sent).unwrap(), (word, 0x00AB_CDEF));
            // Bits 27 and upwards hold identification and check, each with control bits.
            let turned = u128::from_be_bytes(sent) ^ (1 << (bit + 3));
            prop_assert!(read_telegram(turned.to_be_bytes()).is_err());
        }
    }
}
