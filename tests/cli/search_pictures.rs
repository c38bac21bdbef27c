//! Pictures of a search show something.

use crate::search_reports::{searched, searches};
use crate::support::Folder;

struct Picture {
    width: usize,
    rgb: Vec<[u8; 3]>,
}

fn picture(folder: &Folder, path: &str) -> Picture {
    let bytes = std::fs::read(folder.path().join(path)).unwrap();
    let mut reader = png::Decoder::new(std::io::Cursor::new(bytes))
        .read_info()
        .unwrap();
    let mut rgb = vec![0; reader.output_buffer_size().unwrap()];
    let info = reader.next_frame(&mut rgb).unwrap();
    let pixel = |bytes: &[u8]| [bytes[0], bytes[1], bytes[2]];
    Picture {
        width: info.width as usize,
        rgb: rgb.chunks_exact(3).map(pixel).collect(),
    }
}

impl Picture {
    fn share(&self, wanted: impl Fn([u8; 3]) -> bool) -> f64 {
        let found = self.rgb.iter().filter(|pixel| wanted(**pixel)).count();
        found as f64 / self.rgb.len() as f64
    }
}

/// Ground seen well is yellow, ground left in the dark is blue, what is to be flown again orange.
fn is_yellow([r, g, b]: [u8; 3]) -> bool {
    r > 230 && g > 210 && b < 110
}

fn is_blue([r, g, b]: [u8; 3]) -> bool {
    r < 40 && g < 60 && b > 70
}

fn is_orange([r, g, b]: [u8; 3]) -> bool {
    r > 225 && (100..140).contains(&g) && b < 70
}

#[test]
fn pictures_show_something() {
    for (name, folder, results) in searches() {
        let map = picture(&folder, &format!("{results}/heatmap.png"));
        assert!(map.share(is_yellow) > 0.05, "{name}");
        let holes = folder
            .text(&format!("{results}/search.json"))
            .contains("\"cause\"");
        assert_eq!(map.share(is_orange) > 0.002, holes, "{name}");
        let curve = picture(&folder, &format!("{results}/curve.png"));
        assert!(curve.share(|pixel| pixel[0] < 60) > 0.002, "{name}");
        let pair = picture(&folder, &format!("{results}/before-after.png"));
        assert!(pair.width > 600, "{name}");
    }
}

/// In the pair, the ground after the re-fly is brighter than before.
#[test]
fn the_re_fly_brightens_the_ground() {
    let (folder, _) = searched(&["faults"], &[]);
    let pair = picture(&folder, "out/search/before-after.png");
    let half = pair.width / 2;
    let [mut before, mut after] = [0, 0];
    let mut dark = [0, 0];
    for (i, pixel) in pair.rgb.iter().enumerate() {
        let right = i % pair.width >= half;
        let count = if right { &mut after } else { &mut before };
        *count += usize::from(is_yellow(*pixel));
        dark[usize::from(right)] += usize::from(is_blue(*pixel));
    }
    assert!(after > before && before > 1_000, "{before} {after}");
    assert!(dark[0] > dark[1], "{dark:?}");
}
