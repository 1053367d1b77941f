(gusset)
(SAFETY: plasma arc, fumes, fire, electric shock, moving axes.)
(Local codes and licensed practice come first, stay at the stop button.)
(Power source: trigger mode not latched, or it burns on after the off word.)
(machine Contact start, floating head, control with a plain skip move)
(control plain skip move)
(material mild steel 3 mm, 40 A)
(kerf 1.45 mm)
(feed 2200 mm/min, cut height 1.5 mm)
(float 19 mm)
(float measured at 150 mm/min, measure again after any change)
(path exact)
(Before start park the torch raised, clear of clamps, over the plate,)
(at most 60 mm above it.)
(X0 Y0 is the lower left corner of the plate.)
(plate 222.9 mm by 172.9 mm)
(RISK: this control does not notice a touch-off that missed the plate,)
(and no program can. The arc would then be lit and cut at a wrong height.)
(Watch every touch-off, keep the optional stop on, stop by hand if in doubt.)
(proof: machine = contact-skip-mm f6b7fb4d0b693950)
(proof: material = mild steel 3 mm 40 A)
(proof: kerf = 1.450 mm)
(proof: feed = 2200 mm/min)
(proof: plate = 0.000 0.000 222.900 172.900 mm)
(proof: mode = cut)
(proof: drawing = gusset.dxf 17595888b9aff3e2)
(proof: units = 1 mm header)
(proof: shift = 11.4500 11.4500 mm turn 0 deg)
(proof: join = 0.05 mm)
M5
G17 G40 G49 G80
G90 G94
G21
G54
G61
F7500
(cut 1 of 6: hole, feature 1, path 12.55 x 12.55 mm)
(part gusset, hole 1 D14)
(restart here: torch off, raised, XY zero kept)
M5
G17 G40 G49 G80
G90 G94
G21
G54
G61
F7500
G0 X76.45 Y33.45
G4 P0.2
G92 Z0
G31 Z-83 F1000
G4 P0.2
G92 Z0
G1 Z2.6296 F600
G4 P0.1
G31 Z-1.5 F150
G4 P0.2
G92 Z-19
G4 P0.1
G1 Z-1 F1500
(MSG, tip on plate, switch released, clamp on, face shield down)
M0
M3
G4 P0.4
G1 Z3 F900
G4 P0.033
G1 Z1.5 F900
G3 X76.45 Y39.725 I0 J3.1375 F1320
G3 X70.175 Y33.45 I0 J-6.275
G3 X82.725 Y33.45 I6.275 J0
G3 X76.45 Y39.725 I-6.275 J0
G3 X75.4542 Y39.6455 I-0.0001 J-6.2752
M5
G4 P0.3
G0 Z11.5
(cut 2 of 6: hole, feature 3, path 12.55 x 12.55 mm)
(part gusset, hole 3 D14)
(restart here: torch off, raised 11.5 mm over the plate, XY zero kept)
M5
G17 G40 G49 G80
G90 G94
G21
G54
G61
F7500
G0 X33.45 Y76.45
G4 P0.2
G92 Z0
G31 Z-34.5 F1000
G4 P0.2
G92 Z0
G1 Z2.6296 F600
G4 P0.1
G31 Z-1.5 F150
G4 P0.2
G92 Z-19
G4 P0.1
G1 Z-1 F1500
(MSG, tip on plate, switch released, clamp on, face shield down)
M1
M3
G4 P0.4
G1 Z3 F900
G4 P0.033
G1 Z1.5 F900
G3 X33.45 Y82.725 I0 J3.1375 F1320
G3 X27.175 Y76.45 I0 J-6.275
G3 X39.725 Y76.45 I6.275 J0
G3 X33.45 Y82.725 I-6.275 J0
G3 X32.4542 Y82.6455 I-0.0001 J-6.2752
M5
G4 P0.3
G0 Z11.5
(cut 3 of 6: hole, feature 4, path 12.55 x 12.55 mm)
(part gusset, hole 4 D14)
(restart here: torch off, raised 11.5 mm over the plate, XY zero kept)
M5
G17 G40 G49 G80
G90 G94
G21
G54
G61
F7500
G0 X33.45 Y133.45
G4 P0.2
G92 Z0
G31 Z-34.5 F1000
G4 P0.2
G92 Z0
G1 Z2.6296 F600
G4 P0.1
G31 Z-1.5 F150
G4 P0.2
G92 Z-19
G4 P0.1
G1 Z-1 F1500
(MSG, tip on plate, switch released, clamp on, face shield down)
M1
M3
G4 P0.4
G1 Z3 F900
G4 P0.033
G1 Z1.5 F900
G3 X33.45 Y139.725 I0 J3.1375 F1320
G3 X27.175 Y133.45 I0 J-6.275
G3 X39.725 Y133.45 I6.275 J0
G3 X33.45 Y139.725 I-6.275 J0
G3 X32.4542 Y139.6455 I-0.0001 J-6.2752
M5
G4 P0.3
G0 Z11.5
(cut 4 of 6: hole, feature 5, path 42.55 x 42.55 mm)
(part gusset, hole 5 D44)
(restart here: torch off, raised 11.5 mm over the plate, XY zero kept)
M5
G17 G40 G49 G80
G90 G94
G21
G54
G61
F7500
G0 X93.45 Y97.725
G4 P0.2
G92 Z0
G31 Z-34.5 F1000
G4 P0.2
G92 Z0
G1 Z2.6296 F600
G4 P0.1
G31 Z-1.5 F150
G4 P0.2
G92 Z-19
G4 P0.1
G1 Z-1 F1500
(MSG, tip on plate, switch released, clamp on, face shield down)
M1
M3
G4 P0.4
G1 Z3 F900
G4 P0.033
G1 Z1.5 F900
G3 X93.45 Y104.725 I0 J3.5 F2200
G3 X72.175 Y83.45 I0 J-21.275
G3 X114.725 Y83.45 I21.275 J0
G3 X93.45 Y104.725 I-21.275 J0
G3 X92.4504 Y104.7015 I0.0001 J-21.2743
M5
G4 P0.3
G0 Z25
(cut 5 of 6: hole, feature 2, path 12.55 x 12.55 mm)
(part gusset, hole 2 D14)
(restart here: torch off, raised 25 mm over the plate, XY zero kept)
M5
G17 G40 G49 G80
G90 G94
G21
G54
G61
F7500
G0 X117.725 Y107.725
G0 X176.45 Y33.45
G4 P0.2
G92 Z0
G0 Z-20
G31 Z-48 F1000
G4 P0.2
G92 Z0
G1 Z2.6296 F600
G4 P0.1
G31 Z-1.5 F150
G4 P0.2
G92 Z-19
G4 P0.1
G1 Z-1 F1500
(MSG, tip on plate, switch released, clamp on, face shield down)
M1
M3
G4 P0.4
G1 Z3 F900
G4 P0.033
G1 Z1.5 F900
G3 X176.45 Y39.725 I0 J3.1375 F1320
G3 X170.175 Y33.45 I0 J-6.275
G3 X182.725 Y33.45 I6.275 J0
G3 X176.45 Y39.725 I-6.275 J0
G3 X175.4542 Y39.6455 I-0.0001 J-6.2752
M5
G4 P0.3
G0 Z11.5
(cut 6 of 6: outline, feature 0, path 201.45 x 151.45 mm)
(part gusset, outline 200 x 150)
(restart here: torch off, raised 11.5 mm over the plate, XY zero kept)
M5
G17 G40 G49 G80
G90 G94
G21
G54
G61
F7500
G0 X121.95 Y7.225
G4 P0.2
G92 Z0
G31 Z-34.5 F1000
G4 P0.2
G92 Z0
G1 Z2.6296 F600
G4 P0.1
G31 Z-1.5 F150
G4 P0.2
G92 Z-19
G4 P0.1
G1 Z-1 F1500
(MSG, tip on plate, switch released, clamp on, face shield down)
M1
M3
G4 P0.4
G1 Z3 F900
G4 P0.033
G1 Z1.5 F900
G3 X118.45 Y10.725 I-3.5 J0 F2200
G1 X31.45 Y10.725
G2 X30.725 Y11.45 I0 J0.725
G3 X11.45 Y30.725 I-19.275 J0
G2 X10.725 Y31.45 I0 J0.725
G1 X10.725 Y155.45
G2 X17.45 Y162.175 I6.725 J0
G1 X57.5216 Y162.175
G2 X65.0467 Y159.7115 I0 J-12.725
G1 X206.9751 Y55.6306
G2 X212.175 Y45.3691 I-7.5251 J-10.2615
G1 X212.175 Y17.45
G2 X205.45 Y10.725 I-6.725 J0
G1 X118.45 Y10.725
G1 X117.45 Y10.725
G3 X115.6648 Y9.953 I0 J-2.4501
M5
G4 P0.3
G0 Z25
M5
G0 Z25
G92.1
M30
