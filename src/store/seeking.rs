//! Whether a disk can be read here and there at no loss. One with a moving arm cannot: several files that are read a little of each in
//! turn take several times as long on it as one after the other.

use std::path::Path;

/// Tells whether reading here and there on what a path lies on is known to take no longer than reading on. Where the system does not say so,
/// it is not known.
#[cfg(target_os = "linux")]
#[must_use]
pub fn seeks_freely(path: &Path) -> bool {
    use super::forcing::MEMORY;
    use std::os::unix::fs::MetadataExt;
    let is_in_memory =
        rustix::fs::statfs(path).is_ok_and(|found| i128::from(found.f_type) == MEMORY);
    let device = std::fs::metadata(path).map(|found| found.dev());
    is_in_memory
        || device.is_ok_and(|device| {
            let (major, minor) = (rustix::fs::major(device), rustix::fs::minor(device));
            device_seeks_freely(&Path::new("/sys/dev/block").join(format!("{major}:{minor}")))
        })
}

/// Tells that it is not known: this system is not asked.
#[cfg(not(target_os = "linux"))]
#[must_use]
pub fn seeks_freely(_path: &Path) -> bool {
    false
}

/// Reads what the system says of a disk or a part of one. [Linux, Documentation/ABI/stable/sysfs-block, `queue/rotational`]
#[cfg(target_os = "linux")]
fn device_seeks_freely(device: &Path) -> bool {
    let Ok(device) = device.canonicalize() else {
        return false;
    };
    // A disk lent to a virtual machine always says that it turns: its lender cannot say otherwise. [VIRTIO 1.2, 5.2.4]
    let is_lent = device
        .components()
        .any(|part| part.as_os_str().as_encoded_bytes().starts_with(b"virtio"));
    // Of a part, the disk that it belongs to is asked.
    let says = [device.join("queue"), device.join("../queue")]
        .into_iter()
        .find_map(|queue| std::fs::read_to_string(queue.join("rotational")).ok());
    is_lent || says.is_some_and(|says| says.trim() == "0")
}

#[cfg(all(test, target_os = "linux"))]
mod tests {
    use super::*;

    /// As the system lays it out: a disk, and a part of it below.
    #[test]
    fn a_disk_and_its_parts_are_told_apart_by_what_the_system_says() {
        let system = tempfile::tempdir().unwrap();
        let cases = [
            ("ata1/block/sda", Some("1\n"), false),
            ("nvme0/nvme0n1", Some("0\n"), true),
            ("virtio1/block/vda", Some("1\n"), true),
            ("usb1/block/sdb", None, false),
        ];
        for (disk, says, expected) in cases {
            let disk = system.path().join(disk);
            let part = disk.join("part1");
            std::fs::create_dir_all(disk.join("queue")).unwrap();
            std::fs::create_dir_all(&part).unwrap();
            if let Some(says) = says {
                std::fs::write(disk.join("queue/rotational"), says).unwrap();
            }
            assert_eq!(device_seeks_freely(&disk), expected, "{}", disk.display());
            assert_eq!(device_seeks_freely(&part), expected, "{}", part.display());
        }
        assert!(!device_seeks_freely(&system.path().join("none")));
    }
}
