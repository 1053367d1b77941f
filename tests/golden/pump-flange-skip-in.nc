(pump-flange)
(SAFETY: plasma arc, fumes, fire, electric shock, moving axes.)
(Local codes and licensed practice come first, stay at the stop button.)
(Power source: trigger mode not latched, or it burns on after the off word.)
(machine Contact start, floating head, control with a plain skip move)
(control plain skip move)
(material mild steel 0.1181 in = 3 mm, 40 A)
(kerf 0.0571 in = 1.45 mm)
(feed 86.61 in/min = 2200 mm/min, cut height 0.0591 in = 1.5 mm)
(float 0.748 in = 19 mm)
(float measured at 5.91 in/min = 150 mm/min, measure again after any change)
(path exact)
(Before start park the torch raised, clear of clamps, over the plate,)
(at most 2.3622 in = 60 mm above it.)
(X0 Y0 is the lower left corner of the plate.)
(plate 6.9016 in = 175.3 mm by 6.4016 in = 162.6 mm)
(RISK: this control does not notice a touch-off that missed the plate,)
(and no program can. The arc would then be lit and cut at a wrong height.)
(Watch every touch-off, keep the optional stop on, stop by hand if in doubt.)
(proof: machine = contact-skip-mm 2e7b64307c873364)
(proof: material = mild steel 3 mm 40 A)
(proof: kerf = 1.450 mm)
(proof: feed = 2200 mm/min)
(proof: plate = 0.000 0.000 175.300 162.600 mm)
(proof: mode = cut)
(proof: drawing = pump-flange.dxf 450693947c2e597c)
(proof: units = 25.4 mm header)
(proof: shift = 87.6500 74.9500 mm turn 0 deg)
(proof: join = 0.05 mm)
M5
G17 G40 G49 G80
G90 G94
G20
G54
G61
F295.276
(cut 1 of 8: hole, feature 4, path 0.5054 x 0.5054 in = 12.837 x 12.837 mm)
(part pump-flange, hole 5 D14.29)
(restart here: torch off, raised, XY zero kept)
M5
G17 G40 G49 G80
G90 G94
G20
G54
G61
F295.276
G0 X1.61048 Y1.88829
G4 P0.2
G92 Z0
G31 Z-3.26772 F39.37
G4 P0.2
G92 Z0
G1 Z0.10353 F23.622
G4 P0.1
G31 Z-0.05906 F5.906
G4 P0.2
G92 Z-0.74803
G4 P0.1
G1 Z-0.03937 F59.055
(MSG, tip on plate, switch released, clamp on, face shield down)
M0
M3
G4 P0.4
G1 Z0.11811 F35.433
G4 P0.033
G1 Z0.05906 F35.433
G3 X1.61048 Y2.14099 I0 J0.12635 F51.969
G3 X1.35778 Y1.88829 I0 J-0.2527
G3 X1.86319 Y1.88829 I0.2527 J0
G3 X1.61048 Y2.14099 I-0.2527 J0
G3 X1.57127 Y2.13793 I0 J-0.2527
M5
G4 P0.3
G0 Z0.45276
(cut 2 of 8: hole, feature 5, path 0.5054 x 0.5054 in = 12.838 x 12.838 mm)
(part pump-flange, hole 6 D14.29)
(restart here: torch off, raised 0.4528 in = 11.5 mm over the plate, XY zero ke)
M5
G17 G40 G49 G80
G90 G94
G20
G54
G61
F295.276
G0 X3.45079 Y0.82579
G4 P0.2
G92 Z0
G31 Z-1.35827 F39.37
G4 P0.2
G92 Z0
G1 Z0.10353 F23.622
G4 P0.1
G31 Z-0.05906 F5.906
G4 P0.2
G92 Z-0.74803
G4 P0.1
G1 Z-0.03937 F59.055
(MSG, tip on plate, switch released, clamp on, face shield down)
M1
M3
G4 P0.4
G1 Z0.11811 F35.433
G4 P0.033
G1 Z0.05906 F35.433
G3 X3.45079 Y1.07849 I0 J0.12635 F51.969
G3 X3.19808 Y0.82579 I0 J-0.2527
G3 X3.70349 Y0.82579 I0.2527 J0
G3 X3.45079 Y1.07849 I-0.2527 J0
G3 X3.41158 Y1.07543 I0 J-0.2527
M5
G4 P0.3
G0 Z0.45276
(cut 3 of 8: hole, feature 6, path 0.5054 x 0.5054 in = 12.838 x 12.838 mm)
(part pump-flange, hole 7 D14.29)
(restart here: torch off, raised 0.4528 in = 11.5 mm over the plate, XY zero ke)
M5
G17 G40 G49 G80
G90 G94
G20
G54
G61
F295.276
G0 X5.29109 Y1.88829
G4 P0.2
G92 Z0
G31 Z-1.35827 F39.37
G4 P0.2
G92 Z0
G1 Z0.10353 F23.622
G4 P0.1
G31 Z-0.05906 F5.906
G4 P0.2
G92 Z-0.74803
G4 P0.1
G1 Z-0.03937 F59.055
(MSG, tip on plate, switch released, clamp on, face shield down)
M1
M3
G4 P0.4
G1 Z0.11811 F35.433
G4 P0.033
G1 Z0.05906 F35.433
G3 X5.29109 Y2.14099 I0 J0.12635 F51.969
G3 X5.03838 Y1.88829 I0 J-0.2527
G3 X5.5438 Y1.88829 I0.25271 J0
G3 X5.29109 Y2.14099 I-0.2527 J0
G3 X5.25188 Y2.13793 I0 J-0.2527
M5
G4 P0.3
G0 Z0.45276
(cut 4 of 8: hole, feature 1, path 0.5054 x 0.5054 in = 12.838 x 12.838 mm)
(part pump-flange, hole 2 D14.29)
(restart here: torch off, raised 0.4528 in = 11.5 mm over the plate, XY zero ke)
M5
G17 G40 G49 G80
G90 G94
G20
G54
G61
F295.276
G0 X5.29109 Y4.01329
G4 P0.2
G92 Z0
G31 Z-1.35827 F39.37
G4 P0.2
G92 Z0
G1 Z0.10353 F23.622
G4 P0.1
G31 Z-0.05906 F5.906
G4 P0.2
G92 Z-0.74803
G4 P0.1
G1 Z-0.03937 F59.055
(MSG, tip on plate, switch released, clamp on, face shield down)
M1
M3
G4 P0.4
G1 Z0.11811 F35.433
G4 P0.033
G1 Z0.05906 F35.433
G3 X5.29109 Y4.26599 I0 J0.12635 F51.969
G3 X5.03838 Y4.01329 I0 J-0.2527
G3 X5.5438 Y4.01329 I0.25271 J0
G3 X5.29109 Y4.26599 I-0.2527 J0
G3 X5.25188 Y4.26293 I0 J-0.2527
M5
G4 P0.3
G0 Z0.45276
(cut 5 of 8: hole, feature 2, path 0.5054 x 0.5054 in = 12.838 x 12.837 mm)
(part pump-flange, hole 3 D14.29)
(restart here: torch off, raised 0.4528 in = 11.5 mm over the plate, XY zero ke)
M5
G17 G40 G49 G80
G90 G94
G20
G54
G61
F295.276
G0 X3.45079 Y5.07579
G4 P0.2
G92 Z0
G31 Z-1.35827 F39.37
G4 P0.2
G92 Z0
G1 Z0.10353 F23.622
G4 P0.1
G31 Z-0.05906 F5.906
G4 P0.2
G92 Z-0.74803
G4 P0.1
G1 Z-0.03937 F59.055
(MSG, tip on plate, switch released, clamp on, face shield down)
M1
M3
G4 P0.4
G1 Z0.11811 F35.433
G4 P0.033
G1 Z0.05906 F35.433
G3 X3.45079 Y5.32849 I0 J0.12635 F51.969
G3 X3.19808 Y5.07579 I0 J-0.2527
G3 X3.70349 Y5.07579 I0.2527 J0
G3 X3.45079 Y5.32849 I-0.2527 J0
G3 X3.41158 Y5.32543 I0 J-0.2527
M5
G4 P0.3
G0 Z0.45276
(cut 6 of 8: hole, feature 3, path 0.5054 x 0.5054 in = 12.837 x 12.837 mm)
(part pump-flange, hole 4 D14.29)
(restart here: torch off, raised 0.4528 in = 11.5 mm over the plate, XY zero ke)
M5
G17 G40 G49 G80
G90 G94
G20
G54
G61
F295.276
G0 X1.61048 Y4.01329
G4 P0.2
G92 Z0
G31 Z-1.35827 F39.37
G4 P0.2
G92 Z0
G1 Z0.10353 F23.622
G4 P0.1
G31 Z-0.05906 F5.906
G4 P0.2
G92 Z-0.74803
G4 P0.1
G1 Z-0.03937 F59.055
(MSG, tip on plate, switch released, clamp on, face shield down)
M1
M3
G4 P0.4
G1 Z0.11811 F35.433
G4 P0.033
G1 Z0.05906 F35.433
G3 X1.61048 Y4.26599 I0 J0.12635 F51.969
G3 X1.35778 Y4.01329 I0 J-0.2527
G3 X1.86319 Y4.01329 I0.2527 J0
G3 X1.61048 Y4.26599 I-0.2527 J0
G3 X1.57127 Y4.26293 I0 J-0.2527
M5
G4 P0.3
G0 Z0.45276
(cut 7 of 8: hole, feature 0, path 2.3179 x 2.3179 in = 58.875 x 58.875 mm)
(part pump-flange, hole 1 D60.32)
(restart here: torch off, raised 0.4528 in = 11.5 mm over the plate, XY zero ke)
M5
G17 G40 G49 G80
G90 G94
G20
G54
G61
F295.276
G0 X3.45079 Y3.83415
G4 P0.2
G92 Z0
G31 Z-1.35827 F39.37
G4 P0.2
G92 Z0
G1 Z0.10353 F23.622
G4 P0.1
G31 Z-0.05906 F5.906
G4 P0.2
G92 Z-0.74803
G4 P0.1
G1 Z-0.03937 F59.055
(MSG, tip on plate, switch released, clamp on, face shield down)
M1
M3
G4 P0.4
G1 Z0.11811 F35.433
G4 P0.033
G1 Z0.05906 F35.433
G3 X3.45079 Y4.10974 I0 J0.1378 F86.614
G3 X2.29183 Y2.95079 I0 J-1.15896
G3 X4.60974 Y2.95079 I1.15896 J0
G3 X3.45079 Y4.10974 I-1.15895 J0
G3 X3.41142 Y4.10908 I-0.00026 J-1.15917
M5
G4 P0.3
G0 Z0.98425
(cut 8 of 8: outline, feature 7, path 6.0571 x 5.5571 in = 153.85 x 141.15 mm)
(part pump-flange, outline 152.4 x 139.7)
(restart here: torch off, raised 0.9843 in = 25 mm over the plate, XY zero kept)
M5
G17 G40 G49 G80
G90 G94
G20
G54
G61
F295.276
G0 X4.72785 Y4.22785
G0 X4.72785 Y1.67372
G0 X3.58858 Y0.28445
G4 P0.2
G92 Z0
G0 Z-0.7874
G31 Z-1.88976 F39.37
G4 P0.2
G92 Z0
G1 Z0.10353 F23.622
G4 P0.1
G31 Z-0.05906 F5.906
G4 P0.2
G92 Z-0.74803
G4 P0.1
G1 Z-0.03937 F59.055
(MSG, tip on plate, switch released, clamp on, face shield down)
M1
M3
G4 P0.4
G1 Z0.11811 F35.433
G4 P0.033
G1 Z0.05906 F35.433
G3 X3.45079 Y0.42224 I-0.13779 J0 F86.614
G1 X1.79248 Y0.42224
G2 X1.7767 Y0.427 I0 J0.02855
G2 X3.45079 Y5.97933 I1.67409 J2.52379
G2 X5.12488 Y0.427 I0 J-3.02854
G2 X5.1091 Y0.42224 I-0.01578 J0.02379
G1 X3.45079 Y0.42224
G1 X3.41142 Y0.42224
G3 X3.34114 Y0.39185 I0 J-0.09645
M5
G4 P0.3
G0 Z0.98425
M5
G0 Z0.98425
G92.1
M30
