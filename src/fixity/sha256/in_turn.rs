//! SHA-256 of several messages with the processor's own instructions, a few rounds of each in turn. [FIPS180-4 6.2.2]
//!
//! They keep a state in two halves and do two rounds at once, or half of what makes four words of the message. [Intel, "Intel SHA
//! Extensions", July 2013, 2.2]

use super::Block;
use super::CONSTANTS;
use super::State;
use std::arch::x86_64::__m128i;
use std::arch::x86_64::_mm_add_epi32;
use std::arch::x86_64::_mm_alignr_epi8;
use std::arch::x86_64::_mm_extract_epi32;
use std::arch::x86_64::_mm_set_epi32;
use std::arch::x86_64::_mm_set_epi64x;
use std::arch::x86_64::_mm_setzero_si128;
use std::arch::x86_64::_mm_sha256msg1_epu32;
use std::arch::x86_64::_mm_sha256msg2_epu32;
use std::arch::x86_64::_mm_sha256rnds2_epu32;
use std::arch::x86_64::_mm_shuffle_epi8;
use std::arch::x86_64::_mm_shuffle_epi32;

/// A state as the instructions want it, the highest word named first.
#[derive(Clone, Copy)]
struct Halves {
    abef: __m128i,
    cdgh: __m128i,
}

/// Sixteen words of each message, four of each together.
type Words<const N: usize> = [[__m128i; N]; 4];

/// Works blocks of two or three messages into their states; of other numbers in the library's way.
#[target_feature(enable = "sha,sse2,ssse3,sse4.1")]
pub(super) fn compress(states: &mut [State], blocks: &[&[Block]]) {
    match (states, blocks) {
        ([one, two, three], [first, second, third]) => {
            let mut several = [*one, *two, *three];
            compress_few(&mut several, [first, second, third]);
            [*one, *two, *three] = several;
        }
        ([one, two], [first, second]) => {
            let mut several = [*one, *two];
            compress_few(&mut several, [first, second]);
            [*one, *two] = several;
        }
        (states, blocks) => super::block_by_block(states, blocks),
    }
}

/// Works as many blocks of each message into its state as there are of the shortest.
#[target_feature(enable = "sha,sse2,ssse3,sse4.1")]
fn compress_few<const N: usize>(states: &mut [State; N], blocks: [&[Block]; N]) {
    let mut halves = states.map(|state| halved(state));
    let mut blocks = blocks.map(<[_]>::iter);
    while let Some(mut words) = next_of_each(&mut blocks) {
        let before = halves;
        let [first, second, third, last] = &CONSTANTS;
        sixteen_rounds::<N, true>(&mut halves, &mut words, first);
        sixteen_rounds::<N, true>(&mut halves, &mut words, second);
        sixteen_rounds::<N, true>(&mut halves, &mut words, third);
        sixteen_rounds::<N, false>(&mut halves, &mut words, last);
        for (now, before) in halves.iter_mut().zip(before) {
            now.abef = _mm_add_epi32(now.abef, before.abef);
            now.cdgh = _mm_add_epi32(now.cdgh, before.cdgh);
        }
    }
    for (state, halves) in states.iter_mut().zip(halves) {
        *state = whole(halves);
    }
}

#[inline]
#[target_feature(enable = "sse2,ssse3")]
fn next_of_each<'a, const N: usize>(
    blocks: &mut [impl Iterator<Item = &'a Block>; N],
) -> Option<Words<N>> {
    let mut words = [[_mm_setzero_si128(); N]; 4];
    for (number, blocks) in blocks.iter_mut().enumerate() {
        let (parts, _) = blocks.next()?.as_chunks();
        for (words, bytes) in words.iter_mut().zip(parts) {
            if let Some(four) = words.get_mut(number) {
                *four = read(bytes);
            }
        }
    }
    Some(words)
}

/// Sixteen rounds of each message, in turn; `MORE` when its next sixteen words are wanted too, which take the place of those used.
#[inline]
#[target_feature(enable = "sha,sse2,ssse3,sse4.1")]
fn sixteen_rounds<const N: usize, const MORE: bool>(
    halves: &mut [Halves; N],
    words: &mut Words<N>,
    constants: &[[u32; 4]; 4],
) {
    for constants in constants {
        let [first, second, third, last] = *words;
        four_rounds(halves, &first, constants);
        let next = if MORE {
            schedule(&first, &second, &third, &last)
        } else {
            first
        };
        *words = [second, third, last, next];
    }
}

#[inline]
#[target_feature(enable = "sha,sse2")]
fn four_rounds<const N: usize>(
    halves: &mut [Halves; N],
    words: &[__m128i; N],
    constants: &[u32; 4],
) {
    let [one, two, three, four] = constants.map(u32::cast_signed);
    let constants = _mm_set_epi32(four, three, two, one);
    let sums = words.map(|words| _mm_add_epi32(words, constants));
    for (one, sum) in halves.iter_mut().zip(sums) {
        one.cdgh = _mm_sha256rnds2_epu32(one.cdgh, one.abef, sum);
    }
    for (one, sum) in halves.iter_mut().zip(sums) {
        // The upper two of the four words.
        let sum = _mm_shuffle_epi32::<0b00_00_11_10>(sum);
        one.abef = _mm_sha256rnds2_epu32(one.abef, one.cdgh, sum);
    }
}

/// Makes the four words of each message that come sixteen after `first`. [FIPS180-4 6.2.2, step 1]
#[inline]
#[target_feature(enable = "sha,sse2,ssse3")]
fn schedule<const N: usize>(
    first: &[__m128i; N],
    second: &[__m128i; N],
    third: &[__m128i; N],
    last: &[__m128i; N],
) -> [__m128i; N] {
    let mut next = *first;
    for (((next, second), third), last) in next.iter_mut().zip(second).zip(third).zip(last) {
        let begun = _mm_sha256msg1_epu32(*next, *second);
        let seven_before = _mm_alignr_epi8::<4>(*last, *third);
        *next = _mm_sha256msg2_epu32(_mm_add_epi32(begun, seven_before), *last);
    }
    next
}

/// Four words, which have their highest byte first. [FIPS180-4 3.1]
#[inline]
#[target_feature(enable = "sse2,ssse3")]
fn read(bytes: &[u8; 16]) -> __m128i {
    let whole = u128::from_le_bytes(*bytes);
    let [low, high] = [whole, whole >> 64].map(|part| part & u128::from(u64::MAX));
    let [low, high] = [low, high].map(|part| u64::try_from(part).unwrap_or(0).cast_signed());
    let order = _mm_set_epi64x(0x0c0d_0e0f_0809_0a0b, 0x0405_0607_0001_0203);
    _mm_shuffle_epi8(_mm_set_epi64x(high, low), order)
}

#[inline]
#[target_feature(enable = "sse2")]
fn halved(state: State) -> Halves {
    let [a, b, c, d, e, f, g, h] = state.map(u32::cast_signed);
    Halves {
        abef: _mm_set_epi32(a, b, e, f),
        cdgh: _mm_set_epi32(c, d, g, h),
    }
}

#[inline]
#[target_feature(enable = "sse2,sse4.1")]
fn whole(Halves { abef, cdgh }: Halves) -> State {
    let words = [
        _mm_extract_epi32::<3>(abef),
        _mm_extract_epi32::<2>(abef),
        _mm_extract_epi32::<3>(cdgh),
        _mm_extract_epi32::<2>(cdgh),
        _mm_extract_epi32::<1>(abef),
        _mm_extract_epi32::<0>(abef),
        _mm_extract_epi32::<1>(cdgh),
        _mm_extract_epi32::<0>(cdgh),
    ];
    words.map(i32::cast_unsigned)
}
