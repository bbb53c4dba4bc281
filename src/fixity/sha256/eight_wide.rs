//! SHA-256 in registers that hold eight words, for processors that have such registers (AVX2) and no instructions for SHA-256.
//! [FIPS180-4 6.2.2]
//!
//! Of several messages, each register holds a word of each of eight. Of one message alone, the rounds must wait for each other, but the
//! schedules of eight blocks do not, so these are worked out together. Measured, against the library's own way on such a processor (Intel
//! Cascade Lake): eight messages 5.5 times as fast, three twice, one 1.7 times.

use super::Block;
use super::CONSTANTS;
use super::State;
use super::WIDTH;
use bytemuck::cast;
use sha2::block_api::compress256;
use std::arch::x86_64::__m256i;
use std::arch::x86_64::_mm256_add_epi32;
use std::arch::x86_64::_mm256_and_si256;
use std::arch::x86_64::_mm256_andnot_si256;
use std::arch::x86_64::_mm256_or_si256;
use std::arch::x86_64::_mm256_permute2x128_si256;
use std::arch::x86_64::_mm256_set_epi64x;
use std::arch::x86_64::_mm256_set1_epi32;
use std::arch::x86_64::_mm256_setzero_si256;
use std::arch::x86_64::_mm256_shuffle_epi8;
use std::arch::x86_64::_mm256_slli_epi32;
use std::arch::x86_64::_mm256_srli_epi32;
use std::arch::x86_64::_mm256_unpackhi_epi32;
use std::arch::x86_64::_mm256_unpackhi_epi64;
use std::arch::x86_64::_mm256_unpacklo_epi32;
use std::arch::x86_64::_mm256_unpacklo_epi64;
use std::arch::x86_64::_mm256_xor_si256;

/// One word of each of eight blocks.
type Words = __m256i;

/// What each round adds of eight blocks: the word of the schedule and the constant.
type Schedule = [Words; 64];

/// Works blocks of each message into its state, as many of each; from the ninth message on nothing is done.
#[target_feature(enable = "avx2")]
pub(super) fn compress(states: &mut [State], blocks: &[&[Block]]) {
    let mut each = [[].as_slice(); WIDTH];
    let mut columns = [[0; WIDTH]; 8];
    // Where there are fewer messages than room, the first is worked out several times over.
    let first = blocks.first().copied().unwrap_or_default();
    for (number, each) in each.iter_mut().enumerate() {
        *each = blocks.get(number).copied().unwrap_or(first);
    }
    for (number, state) in states.iter().enumerate().take(WIDTH) {
        for (column, word) in columns.iter_mut().zip(state) {
            set(column, number, *word);
        }
    }
    let columns = all_blocks(columns, each);
    for (number, state) in states.iter_mut().enumerate().take(WIDTH) {
        for (word, column) in state.iter_mut().zip(&columns) {
            *word = get(column, number);
        }
    }
}

#[inline]
#[target_feature(enable = "avx2")]
fn all_blocks(columns: [[u32; WIDTH]; 8], messages: [&[Block]; WIDTH]) -> [[u32; WIDTH]; 8] {
    let mut now: [Words; 8] = cast(columns);
    let mut blocks = messages.map(<[_]>::iter);
    let mut schedule = [_mm256_setzero_si256(); 64];
    while let Some(next) = next_of_each(&mut blocks) {
        fill(&mut schedule, next);
        let before = now;
        for words in &schedule {
            now = round(now, *words);
        }
        for (now, before) in now.iter_mut().zip(before) {
            *now = _mm256_add_epi32(*now, before);
        }
    }
    cast(now)
}

fn next_of_each<'a>(
    blocks: &mut [impl Iterator<Item = &'a Block>; WIDTH],
) -> Option<[&'a Block; WIDTH]> {
    let mut next = [&[0; 64]; WIDTH];
    for (next, blocks) in next.iter_mut().zip(blocks) {
        *next = blocks.next()?;
    }
    Some(next)
}

/// Works blocks of one message into its state: of eight the schedules together, and what is left in the library's way.
#[target_feature(enable = "avx2,bmi1,bmi2")]
pub(super) fn compress_one(state: &mut State, blocks: &[Block]) {
    let (groups, rest) = blocks.as_chunks::<WIDTH>();
    let mut schedule = [_mm256_setzero_si256(); 64];
    for group in groups {
        fill(&mut schedule, group.each_ref());
        let words: [[u32; WIDTH]; 64] = cast(schedule);
        for number in 0..WIDTH {
            let after = sixty_four_rounds(*state, &words, number);
            for (now, after) in state.iter_mut().zip(after) {
                *now = now.wrapping_add(after);
            }
        }
    }
    compress256(state, rest);
}

/// Works out the schedules of eight blocks. [FIPS180-4 6.2.2, step 1]
#[inline]
#[target_feature(enable = "avx2")]
fn fill(schedule: &mut Schedule, blocks: [&Block; WIDTH]) {
    let mut lower = [_mm256_setzero_si256(); WIDTH];
    let mut upper = lower;
    for ((lower, upper), block) in lower.iter_mut().zip(&mut upper).zip(blocks) {
        if let ([one, other], _) = block.as_chunks::<32>() {
            *lower = cast(*one);
            *upper = cast(*other);
        }
    }
    let read = columns_of(lower).into_iter().chain(columns_of(upper));
    for (words, read) in schedule.iter_mut().zip(read) {
        *words = read;
    }
    for start in 0..48 {
        extend(schedule, start);
    }
    let constants = CONSTANTS.as_flattened().as_flattened();
    for (words, constant) in schedule.iter_mut().zip(constants) {
        *words = _mm256_add_epi32(*words, _mm256_set1_epi32(constant.cast_signed()));
    }
}

/// Works out the word that comes sixteen after `start`.
#[inline]
#[target_feature(enable = "avx2")]
fn extend(schedule: &mut Schedule, start: usize) {
    let (_, from) = schedule.split_at_mut_checked(start).unwrap_or_default();
    if let Some(
        [
            first,
            second,
            _,
            _,
            _,
            _,
            _,
            _,
            _,
            tenth,
            _,
            _,
            _,
            _,
            fifteenth,
            _,
            next,
        ],
    ) = from.first_chunk_mut()
    {
        let small = [
            turned::<7, 25>(*second),
            turned::<18, 14>(*second),
            _mm256_srli_epi32::<3>(*second),
        ];
        let large = [
            turned::<17, 15>(*fifteenth),
            turned::<19, 13>(*fifteenth),
            _mm256_srli_epi32::<10>(*fifteenth),
        ];
        let early = _mm256_add_epi32(*first, mixed(small));
        let late = _mm256_add_epi32(*tenth, mixed(large));
        *next = _mm256_add_epi32(early, late);
    }
}

/// One round of eight messages. [FIPS180-4 6.2.2, step 3]
#[inline]
#[target_feature(enable = "avx2")]
fn round([a, b, c, d, e, f, g, h]: [Words; 8], words: Words) -> [Words; 8] {
    let chosen = _mm256_xor_si256(_mm256_and_si256(e, f), _mm256_andnot_si256(e, g));
    let either = _mm256_and_si256(_mm256_or_si256(a, b), c);
    let majority = _mm256_or_si256(_mm256_and_si256(a, b), either);
    let of_e = mixed([turned::<6, 26>(e), turned::<11, 21>(e), turned::<25, 7>(e)]);
    let of_a = mixed([turned::<2, 30>(a), turned::<13, 19>(a), turned::<22, 10>(a)]);
    let given = _mm256_add_epi32(_mm256_add_epi32(h, words), chosen);
    let first = _mm256_add_epi32(given, of_e);
    let second = _mm256_add_epi32(majority, of_a);
    let new_a = _mm256_add_epi32(first, second);
    [new_a, a, b, c, _mm256_add_epi32(d, first), e, f, g]
}

/// The rounds of one block of eight. Written so that they follow each other without a loop: a third is gained by that.
#[inline(always)]
fn sixty_four_rounds(state: State, words: &[[u32; WIDTH]; 64], number: usize) -> State {
    if let ([one, two, three, four], _) = words.as_chunks() {
        let state = sixteen_rounds(state, one, number);
        let state = sixteen_rounds(state, two, number);
        let state = sixteen_rounds(state, three, number);
        return sixteen_rounds(state, four, number);
    }
    state
}

#[inline(always)]
fn sixteen_rounds(state: State, words: &[[u32; WIDTH]; 16], number: usize) -> State {
    if let ([one, two, three, four], _) = words.as_chunks() {
        let state = four_rounds(state, one, number);
        let state = four_rounds(state, two, number);
        let state = four_rounds(state, three, number);
        return four_rounds(state, four, number);
    }
    state
}

#[inline(always)]
fn four_rounds(state: State, [one, two, three, four]: &[[u32; WIDTH]; 4], number: usize) -> State {
    let state = one_round(state, get(one, number));
    let state = one_round(state, get(two, number));
    let state = one_round(state, get(three, number));
    one_round(state, get(four, number))
}

/// One round of one message. [FIPS180-4 6.2.2, step 3] Where no bit can be set in both, adding is the same as `xor`, and so is the
/// shorter majority; either lets more be done at once.
#[inline(always)]
fn one_round([a, b, c, d, e, f, g, h]: State, word: u32) -> State {
    let chosen = (e & f).wrapping_add(!e & g);
    let majority = b ^ ((a ^ b) & (b ^ c));
    let of_e = e.rotate_right(6) ^ e.rotate_right(11) ^ e.rotate_right(25);
    let of_a = a.rotate_right(2) ^ a.rotate_right(13) ^ a.rotate_right(22);
    let first = h.wrapping_add(word).wrapping_add(chosen).wrapping_add(of_e);
    let second = majority.wrapping_add(of_a);
    let new_a = first.wrapping_add(second);
    [new_a, a, b, c, d.wrapping_add(first), e, f, g]
}

/// Makes of eight words of each of eight blocks one register for each word; words have their highest byte first. [FIPS180-4 3.1]
#[inline]
#[target_feature(enable = "avx2")]
fn columns_of(rows: [Words; WIDTH]) -> [Words; WIDTH] {
    let [high, low] = [0x0c0d_0e0f_0809_0a0b, 0x0405_0607_0001_0203];
    let order = _mm256_set_epi64x(high, low, high, low);
    let mut rows = rows;
    for row in &mut rows {
        *row = _mm256_shuffle_epi8(*row, order);
    }
    let [a, b, c, d, e, f, g, h] = rows;
    let [one, two] = quarters(_mm256_unpacklo_epi32(a, b), _mm256_unpacklo_epi32(c, d));
    let [three, four] = quarters(_mm256_unpackhi_epi32(a, b), _mm256_unpackhi_epi32(c, d));
    let [five, six] = quarters(_mm256_unpacklo_epi32(e, f), _mm256_unpacklo_epi32(g, h));
    let [seven, eight] = quarters(_mm256_unpackhi_epi32(e, f), _mm256_unpackhi_epi32(g, h));
    let [first, fifth] = halves(one, five);
    let [second, sixth] = halves(two, six);
    let [third, seventh] = halves(three, seven);
    let [fourth, eighth] = halves(four, eight);
    [first, second, third, fourth, fifth, sixth, seventh, eighth]
}

#[inline]
#[target_feature(enable = "avx2")]
fn quarters(one: Words, other: Words) -> [Words; 2] {
    [
        _mm256_unpacklo_epi64(one, other),
        _mm256_unpackhi_epi64(one, other),
    ]
}

#[inline]
#[target_feature(enable = "avx2")]
fn halves(one: Words, other: Words) -> [Words; 2] {
    [
        _mm256_permute2x128_si256::<0x20>(one, other),
        _mm256_permute2x128_si256::<0x31>(one, other),
    ]
}

/// Turns each word to the right; the two numbers are 32 together.
#[inline]
#[target_feature(enable = "avx2")]
fn turned<const RIGHT: i32, const LEFT: i32>(words: Words) -> Words {
    let right = _mm256_srli_epi32::<RIGHT>(words);
    _mm256_or_si256(right, _mm256_slli_epi32::<LEFT>(words))
}

#[inline]
#[target_feature(enable = "avx2")]
fn mixed([one, two, three]: [Words; 3]) -> Words {
    _mm256_xor_si256(_mm256_xor_si256(one, two), three)
}

#[inline(always)]
fn get(words: &[u32; WIDTH], number: usize) -> u32 {
    words.get(number).copied().unwrap_or_default()
}

#[inline(always)]
fn set(words: &mut [u32; WIDTH], number: usize, word: u32) {
    if let Some(slot) = words.get_mut(number) {
        *slot = word;
    }
}
