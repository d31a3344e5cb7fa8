' Follows a file of orders, one a line: what to do and with what, between tabs.
Sub Follow(orders_url As String)
  Dim stream, book, order, cell, options, place, typed As Integer
  Dim cells(9999) As Object, kinds(9999), figures(9999), texts(9999)
  stream = createUnoService("com.sun.star.io.TextInputStream")
  stream.setInputStream(createUnoService("com.sun.star.ucb.SimpleFileAccess").openFileRead(orders_url))
  stream.setEncoding("UTF-8")
  On Error Goto Failed
  Do While Not stream.isEOF()
    order = Split(stream.readLine(), Chr(9))
    Select Case order(0)
    Case "open"
      book = StarDesktop.loadComponentFromURL(order(1), "_blank", 0, Array(named("Hidden", True)))
      book.enableAutomaticCalculation(False)
    Case "number", "text"
      cell = book.Sheets.getByName(order(1)).getCellRangeByName(order(2))
      cells(typed) = cell
      kinds(typed) = cell.Type
      figures(typed) = cell.Value
      texts(typed) = cell.Formula
      typed = typed + 1
      If order(0) = "number" Then cell.Value = Val(order(3)) Else cell.String = order(3)
    Case "compute"
      book.calculateAll()
    Case "save"
      ' text between quotes, figures in full, the sheet of this number, whose name is put to the file's
      options = "44,34,UTF-8,1,,0,true,true,false,false,false," & order(1)
      book.storeToURL(order(2), Array( _
        named("FilterName", "Text - txt - csv (StarCalc)"), named("FilterOptions", options)))
    Case "reset"
      For place = typed - 1 To 0 Step -1
        If kinds(place) = com.sun.star.table.CellContentType.VALUE Then
          cells(place).Value = figures(place)
        Else
          cells(place).Formula = texts(place)
        End If
      Next
      typed = 0
    Case "close"
      book.close(True)
    End Select
  Loop
  StarDesktop.terminate()
  Exit Sub
Failed:
  Dim message
  message = Error$ & " at " & Join(order, " ")
  Dim out
  out = createUnoService("com.sun.star.io.TextOutputStream")
  out.setOutputStream( _
    createUnoService("com.sun.star.ucb.SimpleFileAccess").openFileWrite(orders_url & ".failed"))
  out.writeString(message)
  out.closeOutput()
  StarDesktop.terminate()
End Sub

Function named(property_name As String, property_value)
  Dim property As New com.sun.star.beans.PropertyValue
  property.Name = property_name
  property.Value = property_value
  named = property
End Function
