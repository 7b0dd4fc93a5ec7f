//! Slots that cutting leaves empty are given back, and nothing else changes.

use super::super::block::Block;
use super::super::packet::{Cut16, LANES, Makers, SIDE};
use super::*;

/// Packets of a block of so many across and up, by their numbers.
fn packets(across: usize, up: usize) -> Vec<usize> {
    (0..across * up).map(|n| n / across * SIDE as usize + n % across).collect()
}

fn rays(block: &Block, packets: &[usize]) -> Vec<Vec<Interval>> {
    let rays = packets.iter().flat_map(|p| (0..LANES).map(move |lane| (*p, lane)));
    rays.map(|(packet, lane)| block.ray(packet, lane).to_vec()).collect()
}

/// Cuts the teeth of a comb into every third ray of a packet.
fn comb(block: &mut Block, packet: usize, teeth: std::ops::Range<i32>) {
    for tooth in teeth {
        let mut cut = Cut16::NONE;
        for lane in (packet % 3..LANES).step_by(3) {
            (cut.low[lane], cut.high[lane]) = (1000 * tooth + 300, 1000 * tooth + 600);
        }
        assert!(block.cut(packet, &cut, &Makers::all(7)).is_some());
    }
}

#[test]
fn slots_left_empty_are_given_back_and_rays_stay() {
    for (across, up) in [(4, 4), (3, 2), (1, 4)] {
        let own = packets(across, up);
        let mut block = Block::new(u32::try_from(across).unwrap(), u32::try_from(up).unwrap());
        for packet in &own {
            block.fill(*packet, Interval { low: 0, high: 9000, low_by: CutId::RAW, high_by: CutId::RAW });
        }
        block.summarize();
        for (n, packet) in (0..).zip(&own) {
            comb(&mut block, *packet, 0..n % 5);
        }
        let full = block.slots().len();
        assert!(full > own.len());
        // As few as can be: nothing is moved.
        let before = block.clone();
        block.tighten();
        assert_eq!(rays(&block, &own), rays(&before, &own));
        assert_eq!(block.slots(), before.slots());
        // All but the last tooth and what is above go; what is left is one piece a ray.
        let cut = Cut16 { low: [-10; LANES], high: [3500; LANES] };
        for packet in &own {
            assert!(block.cut(*packet, &cut, &Makers::all(8)).is_some());
        }
        let before = rays(&block, &own);
        let bytes = block.bytes();
        assert_eq!(block.slots().len(), full);
        block.tighten();
        assert_eq!(rays(&block, &own), before);
        assert_eq!(block.slots().len(), own.len());
        assert!(block.bytes() < bytes);
        // And it goes on as before.
        comb(&mut block, own[0], 4..9);
        assert!(block.slots().len() > own.len());
        assert!(rays(&block, &own)[1..LANES].iter().any(|ray| ray.len() > 3));
    }
}
