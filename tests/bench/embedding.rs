//! Described copies against plain copies of the same files: I1, one large TIFF; I2, many small JPEG files.
//!
//! Ours does more than copy: it works out the checksums of original and copy and the picture digest, forces every file to the disk,
//! and reads each copy back. The second reference of each row, a copy that is forced to the disk too, shows what of the
//! difference is the disk's.

use crate::Options;
use crate::child;
use crate::row;
use image::ExtendedColorType;
use image::ImageEncoder;
use image::codecs::jpeg::JpegEncoder;
use std::fs;
use std::fs::File;
use std::io::BufWriter;
use std::io::Write;
use std::path::Path;
use std::path::PathBuf;
use std::process::Command;
use std::time::Duration;
use std::time::Instant;

/// Measures the rows that are wanted.
pub(crate) fn rows(options: &Options, work: &Path) {
    let large = (600_000_000.0 * options.scale) as u64;
    let small = (200.0 * options.scale).max(1.0) as u64;
    if options.wants("I1") {
        let folder = work.join(format!("tiff-{large}"));
        made(&folder, || tiff(&folder.join("master.tif"), large));
        let memory = compare(
            options,
            work,
            &folder,
            ("I1", 4.0),
            "described copy of one TIFF, against cp -r",
        );
        let megabytes = memory as f64 / 1024.0;
        let met = if megabytes <= 32.0 { "" } else { "  NOT MET" };
        println!("M2   {megabytes:>9.1} MB resident at most for that TIFF (goal 32){met}");
    }
    if options.wants("I2") {
        let folder = work.join(format!("jpeg-{small}"));
        made(&folder, || jpegs(&folder, small));
        compare(
            options,
            work,
            &folder,
            ("I2", 6.0),
            "described copies of JPEG files of 1 MB, against cp -r",
        );
    }
}

fn made(folder: &Path, make: impl FnOnce()) {
    let done = folder.with_extension("done");
    if !done.exists() {
        let _ = fs::remove_dir_all(folder);
        fs::create_dir_all(folder).unwrap();
        make();
        fs::write(done, "").unwrap();
    }
}

/// Takes turns; returns the most memory that ours took, in kilobytes.
fn compare(
    options: &Options,
    work: &Path,
    folder: &Path,
    (id, goal): (&str, f64),
    what: &str,
) -> u64 {
    let target = work.join("target");
    let fresh = || {
        let _ = fs::remove_dir_all(&target);
    };
    let (mut ours, mut plain, mut forced) = (Duration::MAX, Duration::MAX, Duration::MAX);
    let mut memory = 0;
    for _ in 0..=options.rounds {
        fresh();
        let begun = Instant::now();
        shell("cp -r \"$0\" \"$1\"", folder, &target);
        plain = plain.min(begun.elapsed());
        fresh();
        let begun = Instant::now();
        shell(
            "cp -r \"$0\" \"$1\" && find \"$1\" -type f -print0 | xargs -0 sync -d",
            folder,
            &target,
        );
        forced = forced.min(begun.elapsed());
        fresh();
        let (wall, told) = inscribe(folder, &target, options.threads);
        ours = ours.min(wall);
        memory = memory.max(told.memory_kb);
    }
    fresh();
    row(id, ours, Some(plain), goal, what);
    let ratio = ours.as_secs_f64() / forced.as_secs_f64();
    println!(
        "     {:>9.3} {:>9.3} {ratio:>7.2}          the same, against cp -r and sync",
        ours.as_secs_f64(),
        forced.as_secs_f64()
    );
    memory
}

fn shell(line: &str, folder: &Path, target: &Path) {
    let status = Command::new("sh")
        .args(["-c", line])
        .arg(folder)
        .arg(target)
        .status()
        .unwrap();
    assert!(status.success(), "{line}");
}

fn inscribe(folder: &Path, target: &Path, threads: usize) -> (Duration, child::Told) {
    let text = |path: &Path| path.to_str().unwrap().to_owned();
    super::measured(&[
        "inscribe",
        &text(folder),
        &text(target),
        &threads.to_string(),
    ])
}

/// A grey master in strips of about 1 MB, byte by byte. [TIFF6 2]
fn tiff(path: &PathBuf, length: u64) {
    const WIDTH: u64 = 10_000;
    const ROWS: u64 = 100;
    let strips = (length / (WIDTH * ROWS)).max(1);
    let table = 8 + strips * WIDTH * ROWS;
    let directory = table + strips * 8;
    let mut file = BufWriter::with_capacity(1 << 20, File::create(path).unwrap());
    let mut put =
        |number: u64, width: usize| file.write_all(&number.to_le_bytes()[..width]).unwrap();
    put(0x002a_4949, 4);
    put(directory, 4);
    let mut state = 7_u64;
    for _ in 0..strips * WIDTH * ROWS / 8 {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        put(state ^ (state >> 29), 8);
    }
    (0..strips).for_each(|strip| put(8 + strip * WIDTH * ROWS, 4));
    (0..strips).for_each(|_| put(WIDTH * ROWS, 4));
    let entries: [(u64, u64, u64, u64); 9] = [
        (256, 4, 1, WIDTH),
        (257, 4, 1, strips * ROWS),
        (258, 3, 1, 8),
        (259, 3, 1, 1),
        (262, 3, 1, 1),
        (273, 4, strips, table),
        (277, 3, 1, 1),
        (278, 4, 1, ROWS),
        (279, 4, strips, table + strips * 4),
    ];
    put(entries.len() as u64, 2);
    for (tag, form, count, value) in entries {
        put(tag, 2);
        put(form, 2);
        put(count, 4);
        put(value, 4);
    }
    put(0, 4);
    file.flush().unwrap();
}

/// Noise that codes to about 1 MB.
fn jpegs(folder: &Path, count: u64) {
    const WIDTH: u32 = 860;
    const HEIGHT: u32 = 640;
    let mut state = 11_u32;
    let samples: Vec<u8> = (0..WIDTH * HEIGHT * 3)
        .map(|_| {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (state >> 24) as u8
        })
        .collect();
    let mut bytes = Vec::new();
    JpegEncoder::new_with_quality(&mut bytes, 88)
        .write_image(&samples, WIDTH, HEIGHT, ExtendedColorType::Rgb8)
        .unwrap();
    for number in 0..count {
        fs::write(folder.join(format!("{number:04}.jpg")), &bytes).unwrap();
    }
    println!("     each JPEG has {} bytes", bytes.len());
}
