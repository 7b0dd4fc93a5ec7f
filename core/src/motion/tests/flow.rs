//! Subprograms, macro calls, jumps and loops.

use super::{ends, expect_clean, expect_fact, facts, job, run, run_with};
use crate::job::{Job, SubprogramRepeats};
use crate::source::SourceText;
use std::fmt::Write as _;

const HEAD: &str = "G21 F100 G0 X0 Y0\nZ5\nG91 G1\n";

/// Places on X where the moves along X end.
fn stops(run: &super::Run) -> Vec<f64> {
    ends(run).into_iter().skip(1).map(|(_, p)| p[0]).collect()
}

fn with_file(name: &str, text: &str) -> Job {
    let mut job = job();
    job.setups[0].subprograms.push(SourceText::new(name, text));
    job
}

#[test]
fn a_subprogram_in_the_same_file_and_in_one_beside_it() {
    let inside = run(&format!("{HEAD}M98 P1234 L2\nX10\nM30\nO1234\nX1\nM99"));
    expect_clean(&inside);
    assert_eq!(stops(&inside), [1.0, 2.0, 12.0]);
    assert!(inside.moves.iter().all(|m| m.place.source == 0));
    for (name, text) in [("O1234.nc", "%\nO1234 (HOLES)\nX1\nM99\n%"), ("1234.nc", "X1\nM99")] {
        let beside = run_with(&with_file(name, text), &format!("{HEAD}M98 P1234 L2\nX10\nM30"));
        expect_clean(&beside);
        assert_eq!(stops(&beside), [1.0, 2.0, 12.0]);
        assert_eq!(beside.moves[1].place.source, 1);
        assert_eq!(beside.called_from(1).map(|p| p.line), Some(4));
        assert_eq!(beside.called_from(3), None);
    }
}

#[test]
fn the_number_of_calls_may_stand_in_p() {
    let text = format!("{HEAD}M98 P31234\nM30\nO1234\nX1\nM99");
    assert_eq!(stops(&run(&text)), [1.0, 2.0, 3.0]);
    // With a subprogram O31234 as well it could mean either.
    let both = format!("{text}\nO31234\nX5\nM99");
    assert_eq!(facts(&run(&both)), [("ReadTwoWays".to_owned(), 4)]);
    let mut job = job();
    job.machine.control.subprogram_repeats = Some(SubprogramRepeats::LWord);
    assert_eq!(stops(&run_with(&job, &both)), [5.0]);
    job.machine.control.subprogram_repeats = Some(SubprogramRepeats::InP);
    assert_eq!(stops(&run_with(&job, &both)), [1.0, 2.0, 3.0]);
}

#[test]
fn calls_are_counted_and_never_come_round() {
    expect_fact(&format!("{HEAD}M98 P7"), "SubprogramMissing", 4, true);
    expect_fact(&format!("{HEAD}M98"), "WordMissing", 4, true);
    expect_fact(&format!("{HEAD}M98 P1 L0\nM30\nO1\nM99"), "ReadTwoWays", 4, true);
    expect_fact(&format!("{HEAD}M98 P1\nM30\nO1\nX1\nM98 P1\nM99"), "CallsItself", 8, true);
    expect_fact(&format!("{HEAD}M98 P1\nM30\nO1\nM98 P2\nM99\nO2\nM98 P1\nM99"), "CallsItself", 10, true);
    expect_fact(&format!("{HEAD}M98 P1\nM30\nO1\nM99\nO1\nM99"), "SubprogramTwice", 4, true);
    let chain = |deep: usize| {
        let mut text = format!("{HEAD}M98 P1\nM30\n");
        for n in 1..deep {
            let _ = writeln!(text, "O{n}\nM98 P{}\nM99", n + 1);
        }
        let _ = writeln!(text, "O{deep}\nX1\nM99");
        text
    };
    expect_clean(&run(&chain(4)));
    assert_eq!(facts(&run(&chain(5)))[0].0, "CallsTooDeep");
    let mut job = job();
    job.machine.control.subprogram_depth = 5;
    expect_clean(&run_with(&job, &chain(5)));
}

#[test]
fn ends_of_programs_and_subprograms() {
    expect_fact(&format!("{HEAD}M98 P1\nM30\nO1\nX1"), "ReturnMissing", 7, true);
    expect_fact(&format!("{HEAD}X1\nM99"), "RunsForever", 5, true);
    expect_fact(&format!("{HEAD}M30\nX1"), "TextAfterEnd", 5, false);
    // M30 in a subprogram ends all.
    let run = run(&format!("{HEAD}M98 P1\nX9\nM30\nO1\nX1\nM30"));
    expect_clean(&run);
    assert_eq!(stops(&run), [1.0]);
}

#[test]
fn m99_with_p_returns_to_a_block_of_the_caller() {
    let run = run(&format!("{HEAD}M98 P1\nX50\nN20 X1\nM30\nO1\nX10\nM99 P20"));
    expect_clean(&run);
    assert_eq!(stops(&run), [10.0, 11.0]);
    expect_fact(&format!("{HEAD}M98 P1\nM30\nO1\nM99 P20"), "JumpTargetMissing", 7, true);
}

#[test]
fn macro_calls_have_parameters_of_their_own() {
    let text = format!("{HEAD}#1=3\nG65 P1 A5. B#1 X7.\nX#1\nM30\nO1\nX#1\nX#2\nX#24\n#1=9\nY#3\nM99");
    let run = run(&text);
    expect_clean(&run);
    // A parameter that was not given holds nothing: the word counts as not written.
    assert_eq!(stops(&run), [5.0, 8.0, 15.0, 18.0]);
    expect_fact(&format!("{HEAD}G65 A1.\nM30"), "WordMissing", 4, true);
    expect_fact(&format!("{HEAD}G65 P1 G1\nM30\nO1\nM99"), "CodesExclude", 4, true);
    expect_fact(&format!("{HEAD}G65 P1 M8\nM30\nO1\nM99"), "ReadTwoWays", 4, true);
    expect_fact(&format!("{HEAD}G65 P1 N5 O3\nM30\nO1\nM99"), "UnusedWord", 4, true);
    // M98 shares the caller's.
    let run = super::run(&format!("{HEAD}#1=3\nM98 P1\nX#1\nM30\nO1\n#1=4\nM99"));
    assert_eq!(stops(&run), [4.0]);
}

#[test]
fn if_goto_while() {
    let run = run(&format!("{HEAD}#1=0\nWHILE [#1 LT 3] DO1\nX1\n#1=[#1+1]\nEND1\nX10\nM30"));
    expect_clean(&run);
    assert_eq!(stops(&run), [1.0, 2.0, 3.0, 13.0]);
    let run =
        super::run(&format!("{HEAD}#1=2\nN10 IF [#1 LE 0] GOTO 20\nX1\n#1=[#1-1]\nGOTO10\nN20 X5\nM30"));
    expect_clean(&run);
    assert_eq!(stops(&run), [1.0, 2.0, 7.0]);
    let run = super::run(&format!("{HEAD}#1=2\nIF [#1 EQ 2] THEN #2=4\nIF [#1 NE 2] THEN #2=9\nX#2\nM30"));
    assert_eq!(stops(&run), [4.0]);
    // Loops one in the other, of one number or two.
    let text =
        "#1=0\nWHILE [#1 LT 2] DO1\n#2=0\nWHILE [#2 LT 2] DO2\nX1\n#2=[#2+1]\nEND2\n#1=[#1+1]\nEND1\nM30";
    assert_eq!(stops(&super::run(&format!("{HEAD}{text}"))), [1.0, 2.0, 3.0, 4.0]);
}

#[test]
fn jumps_that_cannot_be() {
    expect_fact(&format!("{HEAD}GOTO 99\nM30"), "JumpTargetMissing", 4, true);
    expect_fact(&format!("{HEAD}GOTO 5\nN5 X1\nN5 X2\nM30"), "JumpTargetTwice", 4, true);
    // The same number in a subprogram is another block.
    expect_clean(&run(&format!("{HEAD}GOTO 5\nN5 X1\nM30\nO1\nN5 X2\nM99")));
    expect_fact(&format!("{HEAD}#1=1\nWHILE [#1 LT 1] DO1\nM30"), "LoopNotClosed", 5, true);
    expect_fact(&format!("{HEAD}END1\nM30"), "LoopNotClosed", 4, true);
    expect_fact(&format!("{HEAD}GOTO [1/0]\nM30"), "NoValue", 4, true);
    expect_fact(&format!("{HEAD}IF [1 EQ 1] GOTO 5 X1\nN5 M30"), "UnusedWord", 4, true);
}

#[test]
fn what_never_ends_is_said() {
    expect_fact(&format!("{HEAD}N10 X1\nGOTO 10"), "RunsForever", 5, true);
    expect_fact(&format!("{HEAD}#1=1\nWHILE [#1 EQ 1] DO1\nX1\nEND1"), "RunsForever", 7, true);
    expect_fact(&format!("{HEAD}N1 M98 P1\nM30\nO1\nX1\nM99 P1"), "RunsForever", 8, true);
    // A condition that changes all the time but never comes true ends at the bound.
    expect_fact(&format!("{HEAD}#1=1\nN10 #1=[#1+1]\nIF [#1 GT 0] GOTO 10\nM30"), "RunsForever", 6, true);
}

#[test]
fn a_long_loop_is_run_to_its_end() {
    let run = run(&format!("{HEAD}#1=0\nWHILE [#1 LT 100000] DO1\nX0.001\n#1=[#1+1]\nEND1\nM30"));
    expect_clean(&run);
    assert_eq!(run.moves.len(), 100_001);
}

#[test]
fn a_fact_in_a_subprogram_knows_its_call_and_its_tool() {
    let run = run(&format!("{HEAD}T2 M6\nM98 P1\nM30\nO1\nG77\nM99"));
    assert_eq!(facts(&run), [("UnknownWord".to_owned(), 8)]);
    assert_eq!(run.around[0].tool, Some(2));
    assert_eq!(run.around[0].called_from.map(|p| p.line), Some(5));
}

#[test]
fn i_j_and_k_of_a_macro_call_go_round() {
    let call = |letters: &str, value: &str| {
        let text = format!("{HEAD}G65 P9 {letters}\nM30\nO9\nX{value}\nM99");
        run(&text)
    };
    for (letters, value, expect) in [
        ("A1. I4. J5. K6. I7. J8. K9.", "[#1+#4*10+#7*100+#9*1000]", 9741.0),
        ("I4. I7. I10.", "[#4+#7+#10]", 21.0),
        ("I4. K6. J8. I7.", "[#4+#6+#8+#10]", 25.0),
        ("K6. K9. D2.", "[#6+#9+#7]", 17.0),
    ] {
        let run = call(letters, value);
        expect_clean(&run);
        assert_eq!(stops(&run), [expect], "{letters}");
    }
    // Backwards and not repeated; two letters for one parameter; more than the parameters of a call.
    for (letters, name) in
        [("J5. I4.", "ReadTwoWays"), ("I4. I7. D1.", "ReadTwoWays"), (&"I1. ".repeat(11), "UnusedWord")]
    {
        assert_eq!(facts(&call(letters, "1")), [(name.to_owned(), 4)], "{letters}");
    }
    expect_fact(&format!("{HEAD}G2 X5 I2 I3"), "RepeatedWord", 4, true);
}

#[test]
fn a_modal_macro_runs_after_each_move() {
    let macro_ = "M30\nO9\nZ-#26\nZ#26\nM99";
    let text = format!("{HEAD}G66 P9 Z2.\nX1\nM8\nF50\nX2\nG67\nX3\n{macro_}");
    let run = run(&text);
    expect_clean(&run);
    let all: Vec<_> = ends(&run).into_iter().skip(1).map(|(_, p)| (p[0], p[2])).collect();
    let expect = [(1.0, 5.0), (1.0, 3.0), (1.0, 5.0), (3.0, 5.0), (3.0, 3.0), (3.0, 5.0), (6.0, 5.0)];
    assert_eq!(all, expect);
    assert_eq!(run.called_from(2).map(|p| p.line), Some(5));
    // The macro counts up a parameter that it was given: the second call may find either.
    let counts = format!("{HEAD}G66 P9 Z2.\nX1\nX2\nM30\nO9\n#26=[#26+1]\nM99");
    assert_eq!(facts(&super::run(&counts)), [("ParameterNotSet".to_owned(), 9)]);
    // A parameter of its own, set before it is read, is the same in each.
    let own = format!("{HEAD}G66 P9 Z2.\nX1\nX2\nG67\nM30\nO9\n#30=[#26+1]\nX#30\nM99");
    expect_clean(&super::run(&own));
    for (body, name) in [
        ("G66 P9\nG66 P9", "ReadTwoWays"),
        ("G66 P9\nG81 X1 Z-1 R1", "ReadTwoWays"),
        ("G66 P9\nG28 Z0", "ReadTwoWays"),
        ("G66 P9\nX0", "ReadTwoWays"),
        ("G66 P9\nX1 M98 P9", "ReadTwoWays"),
        ("G66 P9\nM98 P9", "ReadTwoWays"),
        ("G66 P9\nG65 P9", "ReadTwoWays"),
        ("G66 P9\nX1 M30", "ReadTwoWays"),
        ("G66", "WordMissing"),
        ("G66 P9 G1", "CodesExclude"),
        ("G66 P77\nX1", "SubprogramMissing"),
    ] {
        let run = super::run(&format!("{HEAD}{body}\nM30\nO9\nM99"));
        assert_eq!(facts(&run).last().map(|(n, _)| n.as_str()), Some(name), "{body}: {:?}", run.facts);
        assert!(run.lost_from.is_some(), "{body}");
    }
    expect_clean(&super::run(&format!("{HEAD}G66 P9\nX1\nG67\nM30\nO9\nM99")));
    expect_fact(&format!("{HEAD}G66 P9\nX1\nM30\nO9\nM99"), "ShiftLeftOn", 6, false);
    let beside = run_with(&with_file("O9.nc", "Z-1\nZ1\nM99"), &format!("{HEAD}G66 P9\nX1\nG67\nM30"));
    expect_clean(&beside);
    assert_eq!(beside.moves.len(), 4);
}
