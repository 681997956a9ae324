//! Files with faults, made byte by byte.

use std::fs;
use std::path::Path;

/// Writes a file into the folder of a case.
pub(crate) fn put(at: &Path, name: &str, content: impl AsRef<[u8]>) {
    fs::write(at.join(name), content).unwrap();
}

/// A recording with nothing wrong: ten ramps from 0 to 3960, in 16-bit counts.
pub(crate) fn ramp(at: &Path) {
    put(at, "ramp.raw", ramp_bytes());
}

/// The samples of [`ramp`].
pub(crate) fn ramp_bytes() -> Vec<u8> {
    (0..1000_u16).flat_map(|i| (i % 100 * 40).to_le_bytes()).collect()
}

/// A format chunk: tag, channels, bytes of a frame, bits.
pub(crate) fn fmt(tag: u16, channels: u16, frame: u16, bits: u16) -> Vec<u8> {
    let mut body = [tag, channels].map(u16::to_le_bytes).concat();
    body.extend(8000_u32.to_le_bytes());
    body.extend((8000 * u32::from(frame)).to_le_bytes());
    body.extend([frame, bits].map(u16::to_le_bytes).concat());
    chunk(*b"fmt ", 16, &body)
}

/// A chunk that claims a size, whatever it has.
pub(crate) fn chunk(id: [u8; 4], size: u32, body: &[u8]) -> Vec<u8> {
    [&id[..], &size.to_le_bytes(), body].concat()
}

/// A WAV file of chunks.
pub(crate) fn wav(chunks: &[Vec<u8>]) -> Vec<u8> {
    let body = chunks.concat();
    [b"RIFF", &(4 + body.len() as u32).to_le_bytes()[..], b"WAVE", &body].concat()
}

/// A mono 16-bit WAV of four samples, whose data claim to be `size` bytes.
pub(crate) fn wav_of(size: u32) -> Vec<u8> {
    wav(&[fmt(1, 1, 2, 16), chunk(*b"data", size, &[0, 0, 9, 0, 0, 0, 9, 0])])
}

/// An NPY file with that header, and eight bytes of data.
pub(crate) fn npy(header: &str) -> Vec<u8> {
    let length = (header.len() as u16).to_le_bytes();
    [b"\x93NUMPY\x01\0", &length[..], header.as_bytes(), &[0; 8]].concat()
}

/// An NPY file of that type and shape.
pub(crate) fn npy_of(descr: &str, shape: &str) -> Vec<u8> {
    npy(&format!("{{'descr': '{descr}', 'fortran_order': False, 'shape': {shape}, }}\n"))
}

/// Metadata with these entries in `global`, beside four bytes of data.
pub(crate) fn sigmf(at: &Path, global: &str) {
    sigmf_of(at, global, "");
}

/// Metadata with captures.
pub(crate) fn sigmf_of(at: &Path, global: &str, captures: &str) {
    let version = r#""core:version": "1.2.5""#;
    sigmf_text(
        at,
        &format!(
            "{{\"global\": {{{version}, {global}}},\n\"captures\": [{captures}], \"annotations\": []}}"
        ),
    );
}

/// Metadata of any text.
pub(crate) fn sigmf_text(at: &Path, text: &str) {
    put(at, "x.sigmf-data", [0, 9, 0, 9]);
    put(at, "x.sigmf-meta", text);
}

/// A large WAV that says so many bytes.
pub(crate) fn long_wav(size: u64) -> Vec<u8> {
    let sizes = [0, size, 0].map(u64::to_le_bytes).concat();
    let data = chunk(*b"data", u32::MAX, &[0; 8]);
    let mut bytes = wav(&[chunk(*b"ds64", 24, &sizes), fmt(1, 1, 2, 16), data]);
    bytes[..4].copy_from_slice(b"RF64");
    bytes
}

/// The ramp, and one hundred times as long.
pub(crate) fn large(at: &Path) {
    ramp(at);
    put(at, "large.raw", ramp_bytes().repeat(100));
}

/// A link.
pub(crate) fn link(at: &Path, target: &str, name: &str) {
    std::os::unix::fs::symlink(target, at.join(name)).unwrap();
}

/// Lets anybody into the folder.
pub(crate) fn open_to_all(at: &Path) {
    set_mode(at, 0o777);
}

/// Lets nobody write to the folder.
pub(crate) fn shut(at: &Path) {
    set_mode(at, 0o555);
}

fn set_mode(at: &Path, mode: u32) {
    use std::os::unix::fs::PermissionsExt;
    fs::set_permissions(at, fs::Permissions::from_mode(mode)).unwrap();
}

/// Goes on as a user whom permissions bind: they do not bind root.
pub(crate) const AS_NOBODY: &str = "[ \"$(id -u)\" != 0 ] || \
     exec setpriv --reuid=65534 --regid=65534 --clear-groups \"$@\";";

/// Takes the file away from its reader, who is no longer root.
pub(crate) const UNREADABLE: &str = "chmod 0 ramp.raw s.toml 2> /dev/null; [ \"$(id -u)\" != 0 ] || \
     exec setpriv --reuid=65534 --regid=65534 --clear-groups \"$@\";";

/// Mounts a disk of 16 KiB on a folder, for this process alone; needs a right to do so, as root has.
pub(crate) const TINY: &str = "mkdir full; trap 'rmdir full' EXIT; \
     unshare --mount sh -c 'mount -t tmpfs -o size=16k none full; exec \"$@\"' sh \"$@\"; exit;";

/// Lets no file become larger than 16 KiB. The system's signal is ignored: what counts is the
/// failed write that goes with it.
pub(crate) const LIMIT: &str = "trap '' XFSZ; ulimit -f 32;";
