//! Which columns are found, and in which unit.

use super::*;

#[test]
fn headings_are_known_apart_from_case_spaces_and_signs() {
    for heading in
        ["Water level (m)", "WATER-LEVEL_M", "water_level_m", "Water Level [m]", "WaterLevelM", "SWL (m)"]
    {
        let (read, problems) = wells(&plain(), &format!("lat,lon,{heading}\n-9,39,4.5\n"));
        assert_eq!(numbers(&read, "water_level_m"), [4.5], "{heading}");
        assert_eq!(told(&problems), Vec::<String>::new(), "{heading}");
    }
}

#[test]
fn lengths_in_the_heading_become_metres() {
    for (heading, metres) in [
        ("depth (ft)", 3.048),
        ("Depth_ft", 3.048),
        ("depth in feet", 3.048),
        ("depth [m]", 10.0),
        ("depth_miters", 10.0),
        ("depth cm", 0.1),
    ] {
        let (read, problems) = wells(&plain(), &format!("{heading},name\n10,a\n"));
        assert_eq!(numbers(&read, "depth_m"), [metres], "{heading}");
        assert_eq!(told(&problems), Vec::<String>::new(), "{heading}");
    }
}

#[test]
fn a_length_without_a_unit_is_taken_as_metres_and_said_so() {
    let (read, problems) = wells(&plain(), "lat,depth\n-9,10\n");
    assert_eq!(numbers(&read, "depth_m"), [10.0]);
    assert_eq!(
        told(&problems),
        ["1:0 Note taken-as-metres: taken as metres, for no unit is stated: \"depth\""]
    );
}

#[test]
fn flows_and_water_quality_come_in_the_units_of_their_keys() {
    let text = "yield (L/min),EC (mS/cm),As (µg/L),nitrate (mg/L as N)\n30,0.64,12,2\n";
    let (read, problems) = wells(&plain(), text);
    assert_eq!(numbers(&read, "yield_lps"), [0.5]);
    assert_eq!(numbers(&read, "quality.ec_us_cm"), [640.0]);
    assert_eq!(numbers(&read, "quality.arsenic_mg_l"), [0.012]);
    assert!((numbers(&read, "quality.nitrate_mg_l")[0] - 8.853).abs() < 0.001);
    assert_eq!(told(&problems), Vec::<String>::new());
}

#[test]
fn a_flow_or_quality_without_a_unit_is_left_aside_with_a_warning() {
    let (read, problems) = wells(&plain(), "name,As,yield\nschool,12,3\n");
    assert_eq!(values(&read, "quality.arsenic_mg_l"), [None]);
    assert_eq!(values(&read, "yield_lps"), [None]);
    assert_eq!(
        told(&problems),
        [
            "1:6 Warning unit-not-stated: \"As\" says no unit, so it was left aside",
            "1:9 Warning unit-not-stated: \"yield\" says no unit, so it was left aside",
        ]
    );
    assert_eq!(
        problems[0].help,
        "If it is in mg/L, map it: columns = { \"quality.arsenic_mg_l\" = \"As\" }; \
         else put the unit in brackets there."
    );
}

#[test]
fn the_survey_may_state_the_unit_of_a_column_it_maps() {
    let file = mapped(&[("arsenic_mg_l", "As (ug/L)"), ("quality.ec_us_cm", "conductivity")]);
    let (read, problems) = wells(&file, "As,conductivity\n12,640\n");
    assert_eq!(numbers(&read, "quality.arsenic_mg_l"), [0.012]);
    assert_eq!(numbers(&read, "quality.ec_us_cm"), [640.0]);
    assert_eq!(told(&problems), Vec::<String>::new());
}

#[test]
fn a_unit_that_does_not_fit_its_key_is_a_problem() {
    let (read, problems) = wells(&plain(), "name,depth (mg/L),water level (fathoms)\na,3,4\n");
    assert_eq!((values(&read, "depth_m"), values(&read, "water_level_m")), (vec![None], vec![None]));
    assert_eq!(
        told(&problems),
        [
            "1:6 Warning unit-does-not-fit: the unit in \"depth (mg/L)\" is none of depth_m, so it was left aside",
            "1:19 Warning unit-does-not-fit: \"fathoms\" in \"water level (fathoms)\" is not a unit known here, \
             so it was left aside",
        ]
    );
    let (_, problems) = wells(&mapped(&[("depth_m", "rate (L/s)")]), "rate (L/s)\n3\n");
    assert_eq!(problems[0].level, Level::Error);
    assert_eq!(problems[0].at, Origin::new("survey.toml", 9, 3));
}

#[test]
fn extra_columns_are_listed_in_one_note() {
    let (_, problems) = wells(&plain(), "name,colour,lat,smell\na,red,-9,none\n");
    assert_eq!(told(&problems), ["1:0 Note extra-columns: not used: \"colour\", \"smell\""]);
}

#[test]
fn two_columns_for_one_key_are_a_problem() {
    let (_, problems) = wells(&plain(), "depth (ft),Depth [ft]\n3,4\n");
    assert_eq!(
        told(&problems),
        ["1:12 Error duplicate-heading: \"depth (ft)\" and \"Depth [ft]\" both stand for depth_m"]
    );
    let (read, problems) = wells(&plain(), "total depth (m),depth_m\n3,4\n");
    assert_eq!(numbers(&read, "depth_m"), [4.0]);
    assert_eq!(
        told(&problems),
        ["1:1 Warning second-column: \"total depth (m)\" and \"depth_m\" both may stand for depth_m; \
          \"depth_m\" was used"]
    );
}

#[test]
fn a_mapped_heading_goes_before_a_known_one() {
    let (read, problems) = wells(&mapped(&[("depth_m", "final")]), "depth_m,final\n3,4\n");
    assert_eq!(numbers(&read, "depth_m"), [4.0]);
    assert_eq!(told(&problems), ["1:0 Note extra-columns: not used: \"depth_m\""]);
}

#[test]
fn a_mapped_heading_that_is_not_there_points_at_the_survey() {
    let (_, problems) = wells(&mapped(&[("depth_m", "total_dept")]), "total_depth,name\n3,a\n");
    assert_eq!(problems[0].at, Origin::new("survey.toml", 9, 3));
    assert_eq!(
        told(&problems),
        [
            "9:3 Error no-such-heading: a.csv has no heading \"total_dept\"",
            "1:0 Note extra-columns: not used: \"total_depth\""
        ]
    );
    assert_eq!(problems[0].help, "Did you mean \"total_depth\"? It has \"total_depth\", \"name\".");
}

#[test]
fn half_a_position_by_a_loose_name_is_no_position() {
    let (read, problems) = wells(&plain(), "lat,lon,distance\n-9,39,far\n");
    assert_eq!(read.records.len(), 1);
    assert_eq!(told(&problems), ["1:0 Note extra-columns: not used: \"distance\""]);
}

#[test]
fn a_mapped_position_puts_the_others_aside() {
    let file = mapped(&[("easting_m", "x_arc"), ("northing_m", "y_arc")]);
    let (read, _) = wells(&file, "x_arc,y_arc,lat,lon\n549738,9504281,-4.4,39.4\n");
    let keys: Vec<&str> = read.records[0].cells.keys().map(String::as_str).collect();
    assert_eq!(keys, ["easting_m", "northing_m"]);
}

#[test]
fn another_column_may_be_subtracted() {
    let mut file = mapped(&[("water_level_m", "swl"), ("depth_m", "deep")]);
    file.subtract = [("water_level_m".to_owned(), said("rim (cm)".to_owned()))].into();
    let text = "swl,rim (cm),deep\n11.5,50,20\n9,NA,21\n8,high,22\n";
    let (read, problems) = wells(&file, text);
    assert_eq!(values(&read, "water_level_m"), [Some(CellValue::Number(11.0)), None]);
    assert_eq!(
        told(&problems),
        ["4:3 LeftOut unreadable-number: \"high\" is not a number for water_level_m"]
    );
}

#[test]
fn subtracting_from_nothing_is_an_error_in_the_survey() {
    let mut file = plain();
    file.subtract = [("water_level_m".to_owned(), said("rim".to_owned()))].into();
    let (_, problems) = wells(&file, "name,rim\na,1\n");
    assert_eq!(problems[0].code, "nothing-to-subtract-from");
    assert_eq!(problems[0].at, Origin::new("survey.toml", 9, 3));
}
